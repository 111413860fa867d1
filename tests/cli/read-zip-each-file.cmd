# exit 3
cat > pack.py <<'END'
import gzip, zipfile
table = "seconds,power_w\n" + "".join(f"{i},{150 + i % 3}\n" for i in range(40))
track = "<gpx><trk><type>cycling</type><trkseg>" + "".join(
    f"<trkpt><time>2026-03-14T09:26:{i:02d}Z</time><power>{150 + i}</power></trkpt>"
    for i in range(40)) + "</trkseg></trk></gpx>"
with zipfile.ZipFile("rides.zip", "w", zipfile.ZIP_DEFLATED) as rides:
    rides.writestr("june/", "")
    rides.writestr("june/ride.csv", table)
    rides.writestr("june/ride.csv.gz", gzip.compress(table.encode(), mtime=0))
    rides.writestr("../../ride.gpx", track)
    rides.writestr("notes.txt", "Nice and steady")
    rides.writestr("empty.fit", "")
    rides.writestr("zeros.csv", "0" * 9000000)
    rides.writestr("more.zip", b"PK\x05\x06" + bytes(18))
    rides.writestr(".hidden", "x")
END
python3 pack.py
"$PLUMBLINE" read rides.zip --json > read.json
status=$?
python3 -c '
import json
for item in json.load(open("read.json", encoding="utf-8")):
    power = item.get("recording", {}).get("channels", {}).get("power_w", {})
    print(item["file"], power.get("samples"), power.get("mean"), item.get("error"))'
exit $status
