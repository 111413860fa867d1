# exit 2
"$PLUMBLINE" note ada --legs 2.5
