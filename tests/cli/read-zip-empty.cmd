# exit 3
python3 -c 'import zipfile; zipfile.ZipFile("none.zip", "w").close()'
"$PLUMBLINE" read none.zip
