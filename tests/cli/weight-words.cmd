# exit 2
"$PLUMBLINE" weight ada heavy
