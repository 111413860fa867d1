# exit 3
printf "time,power\n0:00,1\n0:01,1\n" > t.csv && "$PLUMBLINE" read t.csv; s=$?; rm t.csv; exit $s
