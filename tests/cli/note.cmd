# notes of a day and of a ride
d=$(mktemp -d); trap 'rm -rf "$d"' EXIT
export PLUMBLINE_ROSTER="$d/r.plumbline" PLUMBLINE_WHO=Kim
p() { "$PLUMBLINE" "$@" --today 2026-05-20; }
p rider add "Ada Berg" >/dev/null
p import 2026-03-10* --rider ada >/dev/null 2>&1
p note ada
p note ada --day 2026-03-10 --legs 2 --sleep-hours 6.5 --fan no --words 'legs were heavy'
p note ada --ride 1 --effort 9 --hot yes --temperature 29 --caffeine more 2>/dev/null
p note ada --day 2026-03-09 --sleep 4 --stress 2 --soreness 1 --drink 0.75 --dehydrated no --ill no --hard-day-before yes
echo; p note ada
echo; p show 1 | tail -n 3
echo; p note ada --edit 1 --clear legs,fan --sleep 2 2>/dev/null
p note ada --remove 3
p undo
echo; p note ada --from 2026-03-10 --json
