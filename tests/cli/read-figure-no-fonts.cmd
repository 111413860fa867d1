# exit 1
mkdir -p fontless/fonts
PLUMBLINE_DATA=$PWD/fontless "$PLUMBLINE" read 2026-03-03-base-hour-passed.fit --figure ride.pdf 2>&1 | sed "s#$PWD#HERE#" >&2
PLUMBLINE_DATA=$PWD/fontless "$PLUMBLINE" read 2026-03-03-base-hour-passed.fit --figure ride.pdf 2>/dev/null
