# exit 1
d=$(mktemp -d); trap 'rm -rf "$d"' EXIT
export PLUMBLINE_ROSTER="$d/team/r.plumbline"
p() { "$PLUMBLINE" "$@" --today 2026-03-20; }
p rider add Ada >/dev/null
p undo && p undo
