# equipment, its care, and what a ride says of it
d=$(mktemp -d); trap 'rm -rf "$d"' EXIT
export PLUMBLINE_ROSTER="$d/r.plumbline" PLUMBLINE_WHO=Kim
p() { "$PLUMBLINE" "$@" --today 2026-05-20; }
p rider add "Ada Berg" >/dev/null
p equipment ada
p equipment ada add power-meter --name 'race bike' --position spider --sides left --accuracy 1.5 --charge-hours 100 --from 2026-01-01 --serial 42
p equipment ada add heart-sensor --name watch --position wrist
p equipment ada add head-unit --name 'old unit' --to 2026-01-01
p equipment ada add bike --name 'club trainer' --shared
p equipment ada charge 1 --day 2026-03-01
p equipment ada zero 1 812 --day 2026-03-02
"$PLUMBLINE" equipment ada zero 1 --day 2026-03-09 --note 'in the cold' --today 2026-05-20 -- -15
p equipment ada check 1 --day 2026-03-10 --note 'against the trainer'
echo; p equipment ada
p equipment ada edit 1 --sides both --name 'race bike, new arm'
p undo
p equipment ada remove-care 2
echo; p equipment ada --care --all | head -n 10
p import . --rider ada >/dev/null 2>&1
echo; p show ada@2026-03-10 | sed -n 4,12p
p equipment ada remove 1 2>/dev/null
p undo --list | head -n 1
