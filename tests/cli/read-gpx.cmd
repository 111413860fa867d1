cat > pack.py <<'END'
points = "".join(
    f'<trkpt lat="45.5" lon="7.25"><time>2026-03-14T09:{26 + i // 60}:{i % 60:02d}Z</time>'
    f"<extensions><power>{150 + i % 5}</power><x:hr>120</x:hr></extensions></trkpt>"
    for i in range(90))
print(f"<gpx><trk><type>cycling</type><trkseg>{points}</trkseg></trk></gpx>")
END
python3 pack.py > ride.gpx && "$PLUMBLINE" read ride.gpx | head -n 9
