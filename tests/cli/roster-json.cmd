d=$(mktemp -d); trap 'rm -rf "$d"' EXIT
export PLUMBLINE_ROSTER="$d/team/r.plumbline"
p() { "$PLUMBLINE" "$@" --today 2026-03-20; }
p rider add "Ada Berg" --json
p threshold ada 240 --from 2026-01-10 --range 228-252 --json
p max-heart-rate ada 189 --from 2026-02-01 --json >/dev/null
p threshold ada --json
p rider show 1 --json
p rider list --json
p undo --json | sed 's/"made_utc":"[^"]*"/"made_utc":"T"/'
