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
ask session show maren "$(coming | awk 'NR == 1 { print $1 }')"
ask who
