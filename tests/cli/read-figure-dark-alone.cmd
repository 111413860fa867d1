# exit 2
"$PLUMBLINE" read x.fit --dark
