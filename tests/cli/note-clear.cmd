# exit 2
"$PLUMBLINE" note ada --edit 1 --clear lges
