# exit 1
PLUMBLINE_ROSTER=/nowhere/r.plumbline "$PLUMBLINE" rider list
