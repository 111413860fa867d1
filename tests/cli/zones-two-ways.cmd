# exit 2
"$PLUMBLINE" zones ada --table reserve --set "a 50, b -"
