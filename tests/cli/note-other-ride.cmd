# exit 1
d=$(mktemp -d); trap 'rm -rf "$d"' EXIT
export PLUMBLINE_ROSTER="$d/r.plumbline" PLUMBLINE_WHO=Kim
p() { "$PLUMBLINE" "$@" --today 2026-05-20; }
p rider add "Ada Berg" >/dev/null
p rider add 'Bo Lind' >/dev/null
p import 2026-03-10* --rider ada >/dev/null 2>&1
p note bo --ride 1 --legs 2
