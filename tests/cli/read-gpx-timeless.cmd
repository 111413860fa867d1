# exit 3
echo '<gpx><trk><trkseg><trkpt lat="1" lon="2"/><trkpt lat="1" lon="3"/></trkseg></trk></gpx>' > plan.gpx
"$PLUMBLINE" read plan.gpx
