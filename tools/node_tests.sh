# Sourced by the scripts that run tests with Node.js's own runner in a folder of tests/.
#
#   node_tests_install            the exact versions of package-lock.json; ends the script with a
#                                 skip where the npm registry can't be reached
#   node_tests_run FILE...        runs them, prints what they said; last line: TOTAL passed failed skipped

node_tests_fail() {
  echo "# $1"
  echo "TOTAL 0 1 0"
  exit 1
}

node_tests_install() {
  command -v node >/dev/null && command -v npm >/dev/null || node_tests_fail "node and npm are needed"
  # What is installed already stays, as long as it is what the lock file says.
  cmp -s package-lock.json node_modules/.installed-from && return 0
  local log
  log=$(mktemp)
  if npm ci --ignore-scripts --no-audit --no-fund >"$log" 2>&1; then
    cp package-lock.json node_modules/.installed-from
    rm -f "$log"
    return 0
  fi
  cat "$log"
  rm -f "$log"
  if npm ping >/dev/null 2>&1; then
    node_tests_fail "npm ci failed though the registry answers"
  fi
  echo "1..0 # SKIP the npm registry can't be reached"
  echo "# skipped: the npm registry can't be reached"
  echo "TOTAL 0 0 1"
  exit 0
}

node_tests_run() {
  local log status passed failed skipped
  log=$(mktemp)
  # Without --test only the first file is run, and the others are its arguments.
  node --test --test-reporter=tap --test-concurrency=1 "$@" >"$log" 2>&1
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
  rm -f "$log"
  [ $((passed + failed)) -gt 0 ] || node_tests_fail "no test ran"
  if [ "$status" -ne 0 ] && [ "$failed" -eq 0 ]; then
    node_tests_fail "node ended with status $status though no test failed"
  fi
  echo "TOTAL $passed $failed $skipped"
  [ "$failed" -eq 0 ]
}
