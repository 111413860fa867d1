# exit 3
head -c 14 2026-03-17-vo2max-4x4-done.fit > head.fit; "$PLUMBLINE" read head.fit
