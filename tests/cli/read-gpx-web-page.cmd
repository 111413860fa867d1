# exit 3
echo '<!DOCTYPE html><html><body>Please log in</body></html>' > page.gpx
"$PLUMBLINE" read page.gpx
