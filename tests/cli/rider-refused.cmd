# exit 2
# what can't be is refused with one line each
d=$(mktemp -d); trap 'rm -rf "$d"' EXIT
export PLUMBLINE_ROSTER="$d/team/r.plumbline"
p() { "$PLUMBLINE" "$@" --today 2026-03-14 >/dev/null; }
p rider add Ada Berg --born 2001-05-31
p rider block ada base --until 2026-04-12
p rider ill ada
p rider goal ada
p rider goal ada --reached 2026-03-10
p rider goal ada --due 2026-05-01
p rider goal ada --change 9 --due 2026-05-01
p rider goal ada --change nine --due 2026-05-01
p rider goal ada --change 1
p rider goal ada --change 1 --remove 1
p rider goal ada ride --remove 1
p rider event ada 2026-06-14
p rider event ada Three Lakes --weight A
p rider event ada 2026-06-14 Three Lakes
p rider event ada 2026-06-14 Three Lakes --weight D
p rider block ada build
p rider block ada build --until 2026-05-01
p rider ill ada
p rider ill ada 2026-03-15
p rider away ada 2026-07-14 2026-07-01
p rider off ada yesterday
p rider available ada mon
p rider available ada --from 2026-04-01
p rider available ada --remove
p rider screening ada --no-to-all --yes medicine
p rider screening ada --yes medecine
p rider screening ada --yes ,
p rider screening ada --note hm
p rider screening ada --cleared-on 2026-03-01
p rider screening ada --cleared-by "Dr Lund"
p rider screening ada --no-to-all --on 2026-03-15
p rider screening ada --yes new-and-over-45
p rider flag ada --note hm
p rider flag ada tired
p rider flag ada guardian-agreed
p rider consent ada
p rider consent ada films
p rider consent ada letters --withdrawn 2026-03-14
p rider consent ada letters --given 2026-03-15
p rider contact ada
p rider contact ada --how phone
p rider contact ada hello --on 2026-03-15
p rider edit ada --sex woman
p rider edit ada --born 1899-01-01
p rider edit ada --left --returned
p threshold ada 246 --meter 41877
p threshold ada --meter 41877
