# exit 2
"$PLUMBLINE" limits --jsn
