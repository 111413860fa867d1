# zones of the program, the roster and a rider, and back
d=$(mktemp -d); trap 'rm -rf "$d"' EXIT
export PLUMBLINE_ROSTER="$d/r.plumbline" PLUMBLINE_WHO=Kim
p() { "$PLUMBLINE" "$@" --today 2026-05-20; }
p rider add "Ada Berg" >/dev/null
p threshold ada 246 --from 2026-01-10 --range 234-258 --protocol "20-minute test" >/dev/null
p zones ada
p max-heart-rate ada 189 --at-least >/dev/null; p rest-heart-rate ada 48 >/dev/null
echo; p zones ada --table three-domains --from 2026-02-01
p zones --set 'easy 75, steady 90; hard -' --name club
p zones ada --heart-rate --set 'low 60, high -' --name own --from 2026-03-01
echo; p zones ada
echo; p zones ada --remove --from 2026-02-01
p zones ada | sed -n 3,4p
p undo
p zones ada --all | sed -n 1,4p
printf 'calm 80\nbusy -\n' > "$d/mine.txt"
echo; p zones ada --file "$d/mine.txt" --json
