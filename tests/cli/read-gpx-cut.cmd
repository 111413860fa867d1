cat > pack.py <<'END'
print("<gpx><trk><trkseg>" + "".join(
    f"<trkpt><time>2026-03-14T09:26:{i:02d}Z</time><power>150</power></trkpt>"
    for i in range(40)) + "<trkpt><time>2026-03-14T09:2")
END
python3 pack.py > cut.gpx && "$PLUMBLINE" read cut.gpx | head -n 2
