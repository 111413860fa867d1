# each list, empty and not, in words and as JSON
d=$(mktemp -d); trap 'rm -rf "$d"' EXIT
export PLUMBLINE_ROSTER="$d/team/r.plumbline"
p() { "$PLUMBLINE" "$@" --today 2026-03-14; }
p rider add Ada Berg >/dev/null
for act in goal event block available off screening flag consent contact; do
    p rider $act ada
    p rider $act ada --json
done
p rider goal ada ride to work --due 2026-05-01 --json
p rider event ada 2026-06-14 Three Lakes --weight a --json
p rider block ada base --until 2026-04-12 --json
p rider available ada tue 45 --json
p rider injured ada --note "left knee" --json
p rider off ada 2026-12-24 2026-12-26 --json
p rider back ada --json || echo "not on the day it began"
p rider back ada 2026-03-20 --json
p rider screening ada --yes "chest-pain, fainting" --cleared-by "Dr Lund" --json
p rider flag ada pregnant --json
p rider consent ada studies drift study --json
p rider contact ada sent the plan --how mail --json
for act in goal event block available off screening flag consent contact; do
    p rider $act ada
    p rider $act ada --json
done
