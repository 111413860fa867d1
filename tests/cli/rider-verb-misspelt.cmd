# exit 2
"$PLUMBLINE" rider ad Bo
