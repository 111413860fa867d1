# two riders from nothing, as a coach types it, and all that is in force on a day
d=$(mktemp -d); trap 'rm -rf "$d"' EXIT
export PLUMBLINE_ROSTER="$d/team/r.plumbline"
p() { "$PLUMBLINE" "$@" --today 2026-03-14; }
p rider add Ada Berg --born 2001-05-31 >/dev/null
p rider edit ada --sex female --training-since 2025-10-01 --power-since 2025-11-01 \
    --address "Hill Road 3, 12345 Town" --accepts calendar,fit --tests 20min,5min
p rider goal ada finish the 120 km ride --due 2026-08-01 --from 2026-01-05
p rider event ada 2026-06-14 Three Lakes --weight A --note hilly
p rider event ada 2026-03-15 Spring loop --weight C
p rider block ada base --from 2026-01-05 --until 2026-04-12
p rider available ada mon 60 indoors, wed 1h30 indoors, sat-sun 3h outdoors
p rider away ada 2026-07-01 2026-07-14 --note "no bike"
p rider ill ada 2026-03-12
p rider screening ada --yes medicine --on 2026-03-01
p rider contact ada knee is fine, wants hills --how phone
p rider consent ada letters
p weight ada 61.5 --from 2026-01-05
p threshold ada 246 --from 2026-03-01 --range 234-258 --protocol "20-minute test"
echo; p rider show ada
echo; p rider screening ada --cleared-by "Dr Lund" --cleared-on 2026-03-10
p rider back ada
p rider event ada --change 2 --weight B
p rider event ada --remove 2
p rider goal ada --reached 2026-03-10
p rider flag ada heart-medicine --until 2026-03-13
p rider consent ada letters --withdrawn 2026-03-14
p undo
echo; p rider show ada
echo; p rider add Kim Lund --born 2009-06-01
p rider flag kim guardian-agreed --note "mother, by phone"
p rider consent kim letters --by "Eva Lund, mother"
p rider screening kim --no-to-all
echo; p rider show kim
