# exit 2
"$PLUMBLINE" read x.fit --limit base_drift_bmp=1
