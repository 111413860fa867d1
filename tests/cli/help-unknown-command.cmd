# exit 2
"$PLUMBLINE" help raed
