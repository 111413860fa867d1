# exit 2
"$PLUMBLINE" read x.fit --target 245-225W
