#!/usr/bin/env bash
# The unit tests of the page (web/src/**/*.test.ts), and adds up.
#
# usage: run_web_tests.sh      last line: TOTAL passed failed skipped
set -uo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/../web" || exit 2

log=$(mktemp)
result=$(mktemp)
trap 'rm -f "$log" "$result"' EXIT
npx --no-install vitest run --reporter=default --reporter=json --outputFile.json="$result" \
  >"$log" 2>&1 || cat "$log"
# A file that could not even be loaded counts no failed test: `success` alone tells.
/usr/bin/python3 - "$result" <<'EOF'
import json
import sys

try:
    with open(sys.argv[1], encoding="utf-8") as found:
        said = json.load(found)
except (OSError, ValueError):
    print("TOTAL 0 1 0")
    sys.exit(1)
for file in said["testResults"]:
    for test in file["assertionResults"]:
        mark = {"passed": "ok", "failed": "not ok"}.get(test["status"], "ok # SKIP")
        print(f"{mark} - {test['fullName']}")
passed, failed = said["numPassedTests"], said["numFailedTests"]
skipped = said["numPendingTests"] + said["numTodoTests"]
if failed == 0 and not said["success"]:
    failed = 1
if passed == 0:
    failed = max(failed, 1)
print(f"TOTAL {passed} {failed} {skipped}")
sys.exit(1 if failed else 0)
EOF
