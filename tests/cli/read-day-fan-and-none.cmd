# exit 2
"$PLUMBLINE" read x.fit --day fan,no-fan
