# a threshold of each meter, and what names no meter of the rider
d=$(mktemp -d); trap 'rm -rf "$d"' EXIT
export PLUMBLINE_ROSTER="$d/r.plumbline"
p() { "$PLUMBLINE" "$@" --today 2026-03-20; }
p rider add Ada Berg >/dev/null
p equipment ada add power-meter --name Crank --serial 41877 >/dev/null
p equipment ada add power-meter --name "Trainer at home" --position trainer >/dev/null
p equipment ada add bike --name "Crank bike" >/dev/null
p threshold ada 246 --from 2026-03-01 --meter 41877 --range 234-258
p threshold ada 238 --from 2026-03-01 --meter trainer --protocol "20-minute test"
p threshold ada 240 --from 2026-03-01 --meter trainer
p threshold ada
p threshold ada --json
p rider show ada | grep -A 1 threshold
p threshold ada 240 --meter bike
p threshold ada --remove --from 2026-03-01
p threshold ada --remove --from 2026-03-01 --meter crank
p undo
