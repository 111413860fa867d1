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
. "$(dirname "${BASH_SOURCE[0]}")/node_tests.sh"
cd "$(dirname "${BASH_SOURCE[0]}")/../tests/npm" || exit 2

node_tests_install
samples=$(mktemp -d)
trap 'rm -rf "$samples"' EXIT
"$build/tests/npm/write_samples" "$samples" || node_tests_fail "write_samples failed"
workouts=$(mktemp -d)
trap 'rm -rf "$samples" "$workouts"' EXIT
"$build/tests/npm/write_workouts" "$workouts" || node_tests_fail "write_workouts failed"
SAMPLES=$samples WORKOUTS=$workouts node_tests_run fit_written.test.mjs fit_workout.test.mjs
