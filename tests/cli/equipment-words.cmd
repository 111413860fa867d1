# exit 2
"$PLUMBLINE" equipment ada charge
