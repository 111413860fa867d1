# exit 2
"$PLUMBLINE" note ada --edit last --legs 2
