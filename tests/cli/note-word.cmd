# exit 2
"$PLUMBLINE" note ada --fan maybe
