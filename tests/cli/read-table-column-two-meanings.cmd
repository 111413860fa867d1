# exit 2
"$PLUMBLINE" read t.csv --column power=a,heart-rate=a
