# exit 3
printf "time,power,distance\n0,1,999\n1,1,\"1,004\"\n" > t.csv && "$PLUMBLINE" read t.csv; s=$?; rm t.csv; exit $s
