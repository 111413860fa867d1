# a roster from nothing, what commands say, and what taking back leaves
d=$(mktemp -d); trap 'rm -rf "$d"' EXIT
export PLUMBLINE_ROSTER="$d/team/r.plumbline"
p() { "$PLUMBLINE" "$@" --today 2026-03-20; }
p rider add "Ada Berg" --born 2001-05-31 --zone Europe/Berlin
p rider add "Zoë Lind" --note "away in winter" | head -n 1
p threshold ada 240 --from 2026-01-10 --range 228-252 --protocol "20-minute test"
p threshold ada 246 --from 2026-03-14
p threshold ada 250 --from 2026-03-14
p max-heart-rate ada 189 --at-least
p rest-heart-rate ada 48 --from 2026-01-05
p weight ada 61.5 --from 2026-04-01
echo; p threshold ada
echo; p weight ada
echo; p rider show ada
p undo
p undo 5
echo; p threshold ada
echo; p rider edit zoe --left
echo; p rider list
echo; p rider list --all
echo; p undo --list
