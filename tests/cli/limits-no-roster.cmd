# exit 1
HOME=/nowhere; unset PLUMBLINE_ROSTER XDG_DATA_HOME; "$PLUMBLINE" limits base_drift_bpm 12
