# exit 3
head -c 40 2026-03-17-vo2max-4x4-done.fit > cut.fit; "$PLUMBLINE" read cut.fit
