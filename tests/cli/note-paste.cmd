# a pasted reply: shown, then kept
d=$(mktemp -d); trap 'rm -rf "$d"' EXIT
export PLUMBLINE_ROSTER="$d/r.plumbline" PLUMBLINE_WHO=Kim
p() { "$PLUMBLINE" "$@" --today 2026-05-20; }
p rider add "Ada Berg" >/dev/null
r='legs were heavy, slept 6h badly, 2 coffees more than usual, fan on, 24 degrees, one bottle, felt ok, RPE 7/10, bit of a sore throat'
echo "$r" | p note ada --paste
p note ada
echo; echo "$r" | p note ada --paste --day 2026-05-19 --yes
echo "$r" | p note ada --paste --day 2026-05-19 --yes 2>&1 | tail -n 1
echo; printf '1) 7\n2) heavy\n3) badly\n4) none\n5) a bit\nand dizzy at the end' | p note ada --paste --yes
echo; p note ada
printf 'no fan' | p note ada --paste --json
