# exit 2
"$PLUMBLINE" read x.fit --kind vo2max3
