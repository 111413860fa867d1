# exit 2
"$PLUMBLINE" read
