#!/usr/bin/env bash
# Reads what Plumbline writes with decoders from outside (tests/npm), and adds up.
#
# usage: run_npm_tests.sh BUILD_DIR      last line: TOTAL passed failed skipped
#
# The decoders come from the npm registry in the exact versions of tests/npm/package-lock.json.
# If the registry can't be reached, the tests are skipped and the line says so; any other trouble
# is a failure.
set -uo pipefail

[ $# -eq 1 ] || { echo "usage: run_npm_tests.sh BUILD_DIR" >&2; exit 2; }
build=$(cd "$1" && pwd) || exit 2
cd "$(dirname "${BASH_SOURCE[0]}")/../tests/npm" || exit 2

fail() {
  echo "# $1"
  echo "TOTAL 0 1 0"
  exit 1
}

command -v node >/dev/null && command -v npm >/dev/null || fail "node and npm are needed"

# What is installed already stays, as long as it is what the lock file says.
if ! cmp -s package-lock.json node_modules/.installed-from; then
  log=$(mktemp)
  if npm ci --ignore-scripts --no-audit --no-fund >"$log" 2>&1; then
    cp package-lock.json node_modules/.installed-from
  else
    cat "$log"
    rm -f "$log"
    if npm ping >/dev/null 2>&1; then
      fail "npm ci failed though the registry answers"
    fi
    echo "1..0 # SKIP the npm registry can't be reached"
    echo "# skipped: the npm registry can't be reached"
    echo "TOTAL 0 0 1"
    exit 0
  fi
  rm -f "$log"
fi

samples=$(mktemp -d)
log=$(mktemp)
trap 'rm -rf "$samples" "$log"' EXIT
"$build/tests/npm/write_samples" "$samples" || fail "write_samples failed"

SAMPLES=$samples node --test-reporter=tap fit_written.test.mjs >"$log" 2>&1
status=$?
# Only lines at the margin are tests; deeper ones belong to them.
passed=$(grep -c '^ok ' "$log")
failed=$(grep -c '^not ok ' "$log")
skipped=$(grep -c '^ok .*# SKIP' "$log")
passed=$((passed - skipped))
if [ "$failed" -gt 0 ] || [ "$status" -ne 0 ]; then
  cat "$log"
else
  grep -E '^(ok|1\.\.)' "$log"
fi
[ $((passed + failed)) -gt 0 ] || fail "no test ran"
if [ "$status" -ne 0 ] && [ "$failed" -eq 0 ]; then
  fail "node ended with status $status though no test failed"
fi
echo "TOTAL $passed $failed $skipped"
[ "$failed" -eq 0 ]
