#!/usr/bin/env bash
# The page in a real browser against the real server (tests/browser), and adds up.
#
# usage: run_browser_tests.sh BUILD_DIR [FILE...]    last line: TOTAL passed failed skipped
set -uo pipefail

[ $# -ge 1 ] || { echo "usage: run_browser_tests.sh BUILD_DIR [FILE...]" >&2; exit 2; }
here=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
build=$(cd "$1" && pwd) || exit 2
shift

fail() {
  echo "# $1"
  echo "TOTAL 0 1 0"
  exit 1
}

command -v chromium >/dev/null || fail "chromium is needed"
example=$("$here/tools/example_roster.sh" "$build") || fail "the example roster can't be made"
# What the page lets the coach fetch is read by the decoder of tests/npm.
. "$here/tools/node_tests.sh"
cd "$here/tests/npm" || exit 2
node_tests_install
cd "$here/tests/browser" || exit 2
[ $# -gt 0 ] || set -- *.test.mjs

log=$(mktemp)
trap 'rm -f "$log"' EXIT
# One file after the other: two cores, and a browser each.
PLUMBLINE_BUILD=$build PLUMBLINE_EXAMPLE=$example \
  node --test --test-concurrency=1 --test-reporter=tap "$@" >"$log" 2>&1
status=$?
# Leaves alone are counted: a test with parts is its parts.
total=$(awk '/^# pass /{p=$3} /^# fail /{f=$3} /^# skipped /{s=$3} END{print p+0, f+0, s+0}' "$log")
read -r passed failed skipped <<<"$total"
if [ "$failed" -gt 0 ] || [ "$status" -ne 0 ]; then
  cat "$log"
else
  grep -E '^ *ok [0-9]+ - ' "$log" | sed 's/^ *//'
fi
[ $((passed + failed)) -gt 0 ] || fail "no test ran"
if [ "$status" -ne 0 ] && [ "$failed" -eq 0 ]; then
  fail "node ended with status $status though no test failed"
fi
echo "TOTAL $passed $failed $skipped"
[ "$failed" -eq 0 ]
