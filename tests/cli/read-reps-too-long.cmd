# exit 2
"$PLUMBLINE" read x.fit --reps 4x4h
