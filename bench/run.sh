#!/usr/bin/env bash
# Runs every bench program and prints one table; what ./do bench does once all is built.
#
#   bench/run.sh BUILD_DIR [--save] [SUBJECT...]
#
# --save appends the rows to bench/results.tsv, with date, machine and commit.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."

build=$1
shift
save=no
subjects=()
for word in "$@"; do
  case "$word" in
    --save) save=yes ;;
    *) subjects+=("$word") ;;
  esac
done
[ ${#subjects[@]} -gt 0 ] ||
  subjects=(read fit table grid best_means change_points regression least_squares response store import serve
    who sessions reread traces page)

cores=$(nproc)
machine="$(sed -n 's/^model name[^:]*: *//p' /proc/cpuinfo | head -n 1), $cores cores"
load() { cut -d ' ' -f 1 /proc/loadavg; }
busy=$(load)
commit=$(git rev-parse --short=12 HEAD 2>/dev/null || echo unknown)
[ -z "$(git status --porcelain -- src bench/*.c bench/peers 2>/dev/null)" ] || commit="$commit+changes"
date=$(date -u +%Y-%m-%d)

rows=$(mktemp)
trap 'rm -f "$rows"' EXIT
export PLUMBLINE_BENCH_ROWS=$rows
echo "Commit $commit on $machine; load before: $busy."
echo "Ratios within this run; processor times, medians of interleaved runs with their spread."
for subject in "${subjects[@]}"; do
  if [ -f "bench/$subject.py" ]; then
    /usr/bin/python3 "bench/$subject.py" "$build"
  else
    "$build/bench/bench_$subject"
  fi
done

count() { grep -c "$(printf '\t')$1\$" "$rows" || true; }
busy="$busy-$(load)"
echo
echo "$(count met) goals met, $(count MISSED) missed, $(count DIFFERS) with answers that differ," \
  "$(count ABSENT) not measured; load $busy on $cores cores."
if [ "$save" = yes ]; then
  sed "s|^|$date\t$machine, load $busy\t$commit\t|" "$rows" >>bench/results.tsv
  echo "Appended to bench/results.tsv."
fi
