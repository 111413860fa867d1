# exit 2
"$PLUMBLINE" raed x.fit
