# exit 2
"$PLUMBLINE" zones --table three-domain
