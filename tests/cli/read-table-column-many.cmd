# exit 0
printf "stamp;left, watts;hr\n0;1;2\n" > t.csv && "$PLUMBLINE" read t.csv --json --column "time=stamp,power=left, watts" --column=heart-rate=hr | grep -c -e "\"power_w\"" -e "\"heart_rate_bpm\"" >/dev/null; s=$?; rm t.csv; exit $s
