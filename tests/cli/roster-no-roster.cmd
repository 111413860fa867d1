# exit 1
"$PLUMBLINE" rider add Bo --roster /proc/x/r.plumbline
