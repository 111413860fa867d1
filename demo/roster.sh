#!/usr/bin/env bash
# Makes the example roster and asks it what a coach would ask.
#
#   demo/roster.sh BUILD_DIR OUT_DIR
#
# Leaves the riders' files in OUT_DIR/rides and the roster in OUT_DIR/example.plumbline; an example
# that was made there before is made anew.
set -euo pipefail

[ $# -eq 2 ] || { echo "usage: demo/roster.sh BUILD_DIR OUT_DIR" >&2; exit 2; }
build=$1 out=$2
[ -n "${LC_ALL:-}${LC_CTYPE:-}${LANG:-}" ] || export LC_ALL=C.UTF-8

# Only what `example` makes is taken away.
rm -rf "$out/rides"
rm -f "$out"/example.plumbline*

echo
echo "\$ plumbline example $out"
"$build/plumbline" example "$out"
export PLUMBLINE_ROSTER=$out/example.plumbline

ask() {
  echo
  echo "\$ plumbline $*"
  "$build/plumbline" "$@" 2>/dev/null
}
ask rider list
ask threshold maren
ask rides maren --from 2026-08-03
ask rides jonas --from 2026-08-03
ask bests maren --from 2026-06-01 --against before
ask week maren
# What is to come of a rider's sessions, and the first of them whole.
coming() { "$build/plumbline" session list maren 2>/dev/null | awk '$1 + 0 > 0 && $2 >= "2026-08-31"'; }
echo
echo "\$ plumbline session list maren | awk '\$1 + 0 > 0 && \$2 >= \"2026-08-31\"'"
coming
first=$(coming | awk 'NR == 1 { print $1 }')
ask session show maren "$first"
ask who

# The cards that a rider takes along, as pictures to look at: with power, for a day without a meter,
# and where no heart rate may be set (a copy, in which she takes such a medicine).
cards=$out/cards
mkdir -p "$cards"
card() {
  "$build/plumbline" session card "$@" 2>/dev/null >/dev/null
}
next_of() {
  "$build/plumbline" session list "$1" 2>/dev/null |
    awk '$1 + 0 > 0 && $2 >= "2026-08-31" { print $1; exit }'
}
for page in a6 a5; do
  card maren "$first" --page $page --out "$cards/maren-$page.png"
  card hanne "$(next_of hanne)" --no-power --page $page --out "$cards/hanne-no-power-$page.png"
done
cp "$PLUMBLINE_ROSTER" "$cards/medicine.plumbline"
PLUMBLINE_ROSTER=$cards/medicine.plumbline "$build/plumbline" rider flag maren heart-medicine \
  --from 2026-01-01 >/dev/null 2>&1
for page in a6 a5; do
  PLUMBLINE_ROSTER=$cards/medicine.plumbline card maren "$first" --page $page \
    --out "$cards/maren-no-heart-rate-$page.png"
done
rm -f "$cards"/medicine.plumbline*
echo
echo "Cards, as pictures: $cards"
