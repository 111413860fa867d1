# exit 3
printf "time,power\n03/04/2026 10:00:00,1\n" > t.csv && "$PLUMBLINE" read t.csv; s=$?; rm t.csv; exit $s
