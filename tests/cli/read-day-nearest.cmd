# exit 2
"$PLUMBLINE" read x.fit --day hot,cafeine
