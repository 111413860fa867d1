# exit 3
printf "time,power\n0,1\n1\n2,1\n" > t.csv && "$PLUMBLINE" read t.csv; s=$?; rm t.csv; exit $s
