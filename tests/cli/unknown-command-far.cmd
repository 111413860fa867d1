# exit 2
"$PLUMBLINE" something
