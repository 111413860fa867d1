# exit 3
"$PLUMBLINE" read -- --json
