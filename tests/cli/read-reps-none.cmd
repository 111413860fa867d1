# exit 2
"$PLUMBLINE" read x.fit --reps 0x4min
