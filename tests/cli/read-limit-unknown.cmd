# exit 2
"$PLUMBLINE" read x.fit --limit no_such=1
