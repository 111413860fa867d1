d=$(mktemp -d); trap 'rm -rf "$d"' EXIT
export PLUMBLINE_ROSTER="$d/team/r.plumbline"
p() { "$PLUMBLINE" "$@" --today 2026-03-20; }
p rider add Ada >/dev/null
p weight ada 61 --from 2026-03-01
p weight ada --from 2026-03-01 --remove
p undo
p weight ada
