# exit 2
"$PLUMBLINE" note ada --day 2026-03-10
