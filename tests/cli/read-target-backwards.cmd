# exit 2
"$PLUMBLINE" read x.fit --target 120-106
