# exit 2
"$PLUMBLINE" equipment ada chrage 1
