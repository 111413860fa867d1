# exit 2
"$PLUMBLINE" read x.fit --limit cap_file_bytes=1
