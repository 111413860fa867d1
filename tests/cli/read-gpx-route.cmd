# exit 3
echo '<gpx><rte><rtept lat="1" lon="2"/><rtept lat="1" lon="3"/></rte></gpx>' > route.gpx
"$PLUMBLINE" read route.gpx --json
