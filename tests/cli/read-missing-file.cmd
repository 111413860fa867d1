# exit 3
"$PLUMBLINE" read missing.fit
