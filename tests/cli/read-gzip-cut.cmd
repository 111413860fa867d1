# exit 3
gzip -nc 2026-03-17-vo2max-4x4-done.fit | head -c 15 > cut.fit.gz; "$PLUMBLINE" read cut.fit.gz
