#!/usr/bin/env bash
# Asks the real server, on a copy of the example roster and on one of odd riders, everything that
# api/openapi.yaml documents (tests/api), and adds up.
#
# usage: run_api_tests.sh BUILD_DIR      last line: TOTAL passed failed skipped
#
# Validators come from the npm registry in the exact versions of tests/api/package-lock.json; if it
# can't be reached, the tests are skipped and the line says so.
set -uo pipefail

[ $# -eq 1 ] || { echo "usage: run_api_tests.sh BUILD_DIR" >&2; exit 2; }
build=$(cd "$1" && pwd) || exit 2
tools=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
. "$tools/node_tests.sh"
cd "$tools/../tests/api" || exit 2

node_tests_install
export LSAN_OPTIONS=${LSAN_OPTIONS:-print_suppressions=0:suppressions=$tools/leaks-of-others.txt}
example=${EXAMPLE_ROSTER:-$("$tools/example_roster.sh" "$build")} || node_tests_fail "no example roster"
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cp "$example" "$folder/example.plumbline"
chmod 700 "$folder"
odd=$(/usr/bin/python3 ../cli/odd_roster.py "$build/plumbline" "$folder") ||
  node_tests_fail "no roster of odd riders"
PLUMBLINE=$build/plumbline ODD_ROSTER=$odd PRINT_ROUTES=$build/tests/api/print_routes ROSTER=$folder/example.plumbline \
  node_tests_run api.test.mjs odd.test.mjs
