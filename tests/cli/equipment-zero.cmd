# exit 2
"$PLUMBLINE" equipment ada zero 1 much
