# exit 3
printf "seconds,altitude\n0,140\n1,141\n" > r.csv; "$PLUMBLINE" read r.csv
