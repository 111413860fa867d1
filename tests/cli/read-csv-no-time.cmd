# exit 3
printf "power_w,heart_rate_bpm\n200,140\n" > r.csv; "$PLUMBLINE" read r.csv
