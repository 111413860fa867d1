# exit 1
"$PLUMBLINE" read x.fit --zones missing.txt
