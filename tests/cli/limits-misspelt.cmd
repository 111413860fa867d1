# exit 2
"$PLUMBLINE" limits base_drfit_bpm
