#!/usr/bin/env bash
# Fuzzes every target, the time shared out evenly.
#
# usage: fuzz.sh [BUILD_DIR] SECONDS
#
# BUILD_DIR (build-fuzz unless named) is a build by clang with -Dfuzz=true
# -Db_sanitize=address,undefined -Db_lundef=false.  What is learnt stays in
# BUILD_DIR/fuzz/corpus/TARGET and is gone on from the next time.  Ends with 1 when a target broke,
# after saying where the file lies that broke it; copy it to fuzz/TARGET/crashes/NAME to have the
# test suite replay it.
set -uo pipefail

case $# in
  1) build=build-fuzz seconds=$1 ;;
  2) build=$1 seconds=$2 ;;
  *) echo "usage: fuzz.sh [BUILD_DIR] SECONDS" >&2; exit 2 ;;
esac
source=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
build=$(cd "$build" && pwd) || exit 2
[ -x "$build/fuzz/make_seeds" ] || { echo "fuzz.sh: $build has no fuzz targets" >&2; exit 2; }

targets=(fit_read csv_read gpx_read fit_round ride_read gzip zip pack reply request)
lanes=$(nproc) # as many at once as there are processors, each its share of them all
each=$((seconds * lanes / ${#targets[@]}))
[ "$each" -gt 0 ] || each=1

# fuzz_one TARGET: says in one line how it ended.
fuzz_one() {
  local target=$1
  local corpus=$build/fuzz/corpus/$target crashes=$build/fuzz/crashes/$target
  local log=$build/fuzz/$target.log
  mkdir -p "$corpus" "$crashes"
  "$build/fuzz/make_seeds" "$target" "$corpus" || return 1
  local options=(-max_total_time="$each" -max_len=8192 -timeout=10 -rss_limit_mb=2048
    -artifact_prefix="$crashes/" -print_final_stats=1)
  [ -f "$source/fuzz/$target.dict" ] && options+=(-dict="$source/fuzz/$target.dict")
  local folders=("$corpus")
  [ -d "$source/fuzz/$target/crashes" ] && folders+=("$source/fuzz/$target/crashes")
  if UBSAN_OPTIONS=print_stacktrace=1:halt_on_error=1 \
    "$build/fuzz/fuzz_$target" "${options[@]}" "${folders[@]}" >"$log" 2>&1; then
    local runs covered
    runs=$(sed -n 's/^stat::number_of_executed_units: *//p' "$log" | tail -n 1)
    covered=$(sed -n 's/.* cov: \([0-9]*\) .*/\1/p' "$log" | tail -n 1)
    echo "$target: $each s, $runs runs, $covered edges, nothing broke"
  else
    tail -n 40 "$log"
    echo "$target: broke; the file lies in $crashes, the log is $log"
    return 1
  fi
}
export -f fuzz_one
export build source each
printf '%s\n' "${targets[@]}" | xargs -P "$lanes" -I '{}' bash -c 'fuzz_one {}' || exit 1
