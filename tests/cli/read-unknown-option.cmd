# exit 2
"$PLUMBLINE" read x.fit --treshold 246
