# exit 2
"$PLUMBLINE" read t.csv --column power
