# exit 2
"$PLUMBLINE" read x.fit --figure ride.gif
