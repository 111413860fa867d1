# exit 1
"$PLUMBLINE" read 2026-03-03-base-hour-passed.fit --figure no/such/ride.pdf >/dev/null
