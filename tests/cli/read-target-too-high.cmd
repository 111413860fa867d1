# exit 2
"$PLUMBLINE" read x.fit --target 100-1000
