# exit 2
"$PLUMBLINE" limits bridge_other_s
