# exit 3
printf "time,power,watts\n0,1,2\n" > t.csv && "$PLUMBLINE" read t.csv; s=$?; rm t.csv; exit $s
