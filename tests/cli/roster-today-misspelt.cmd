# exit 2
"$PLUMBLINE" rider list --today yesterday
