# exit 2
"$PLUMBLINE" read t.csv --column power=a --column time=t,power=b
