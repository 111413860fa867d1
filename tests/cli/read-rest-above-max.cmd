# exit 2
"$PLUMBLINE" read x.fit --rest-heart-rate 110 --max-heart-rate 105
