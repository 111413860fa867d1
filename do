#!/usr/bin/env bash
# Everything a developer or a coach does with this checkout:
#   ./do demo            build, make the example rides, read them all, show the words; then the
#                        example roster, and what it answers
#   ./do test [fast|all] build with gcc and clang, run every test; the last line adds up
#   ./do build           build/plumbline (release, gcc)
#   ./do serve [OPTION...]  the coach's pages with a copy of the example roster (options of serve)
#   ./do install [--prefix DIR]  program, fonts, manual page, completion; DESTDIR is respected
#   ./do dist            build/plumbline-VERSION.tar.gz, which needs neither Node.js nor network
#   ./do shots           every screen of the page, light, dark, narrow and printed: build/shots
#   ./do bench [--save] [SUBJECT...]  ratios against named peers, which it installs (bench/README.md)
#   ./do fuzz [SECONDS]  fuzz the readers (default 90)
#   ./do long [--quick|--only PART]  how often the readings are right: writes docs/honesty.md
#                        (25 min); --quick: its shape only, to build/honesty-quick.md; --only
#                        PART: that part of the page anew (progress 4 min, both and today 3)
#   ./do lint            format, clang-tidy (deeper than in test), cppcheck, gcc -fanalyzer, include rule
#   ./do coverage        line coverage of src/ by the tests
#   ./do clean           remove what was built
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")"

BUILD_PACKAGES="gcc libc6-dev git pkg-config meson ninja-build python3 zlib1g-dev libgsl-dev
  libsodium-dev libutf8proc-dev libexpat1-dev libzip-dev libcairo2-dev libpango1.0-dev
  libsqlite3-dev libpq-dev libglib2.0-dev libmicrohttpd-dev libjansson-dev tzdata fonts-inter fonts-dejavu-core"
TEST_PACKAGES="clang-14 clang-tidy-14 clang-format-14 libclang-rt-14-dev llvm-14 libcmocka-dev
  cppcheck libical-dev python3-jsonschema python3-pandas poppler-utils postgresql-15 chromium groff-base
  desktop-file-utils"

say() { printf '== %s\n' "$*" >&2; }

# Installs what is missing, as root; otherwise prints the command and stops.
need() {
  local missing=()
  for package in "$@"; do
    dpkg-query -W -f='${Status}' "$package" 2>/dev/null | grep -q 'ok installed' ||
      missing+=("$package")
  done
  [ ${#missing[@]} -eq 0 ] && return 0
  if [ "$(id -u)" -ne 0 ]; then
    echo "these packages are missing; as root: apt-get install --no-install-recommends ${missing[*]}" >&2
    exit 1
  fi
  say "installing ${missing[*]}"
  export DEBIAN_FRONTEND=noninteractive
  apt-get -qq update >/dev/null
  apt-get -qq install -y --no-install-recommends "${missing[@]}" >/dev/null
}

# from_npm FOLDER ARGUMENTS...: npm there, quiet unless it fails; then what it said, and what to do.
from_npm() {
  local folder=$1 log
  shift
  log=$(mktemp)
  if ! (cd "$folder" && npm "$@" --no-audit --no-fund --ignore-scripts) >"$log" 2>&1; then
    tail -n 5 "$log" >&2
    rm -f "$log"
    echo "npm can't fetch what $folder/ needs; see to the way to its registry, then run this again" >&2
    return 1
  fi
  rm -f "$log"
}

# A machine's own Node.js is used as it is when it is 20.19 or newer. Debian 12's own is older: it
# brings npm, and npm the newer one, into a folder that git ignores.
NODE_PACKAGE="node-linux-$(uname -m | sed 's/x86_64/x64/; s/aarch64/arm64/')"
NODE_VERSION=22.23.3
node_is_new_enough() {
  node -e 'const [a, b] = process.versions.node.split(".").map(Number);
    process.exit(a > 20 || (a === 20 && b >= 19) ? 0 : 1)' 2>/dev/null
}
need_node() {
  local own=$PWD/tools-local/node/node_modules/$NODE_PACKAGE/bin
  [ -x "$own/node" ] && PATH=$own:$PATH
  if node_is_new_enough && command -v npm >/dev/null 2>&1; then
    return 0
  fi
  command -v npm >/dev/null 2>&1 || need nodejs npm
  node_is_new_enough && return 0
  say "fetching $NODE_PACKAGE $NODE_VERSION"
  mkdir -p tools-local/node
  from_npm tools-local/node install --no-save --prefix . "$NODE_PACKAGE@$NODE_VERSION" || return 1
  PATH=$own:$PATH
  node_is_new_enough
}

# Debian has no Source Serif: npm brings it, once; a tarball carries it.
need_fonts() {
  [ -d fonts/shipped ] && return 0
  [ -f fonts/node_modules/source-serif/TTF/SourceSerif4-Regular.ttf ] && return 0
  need_node
  say "fetching the fonts"
  from_npm fonts ci
}

# What builds the page and tests it.
need_web_modules() {
  need_node
  cmp -s web/package-lock.json web/node_modules/.installed-from && return 0
  say "fetching what builds the page"
  /usr/bin/python3 tools/build_web.py fetch .
}

# A tarball carries the page built.
need_web() { [ -f web/prebuilt/index.html ] || need_web_modules; }

need_build() { need $BUILD_PACKAGES libcmocka-dev libical-dev; need_fonts; need_web; }
need_test() { need $BUILD_PACKAGES $TEST_PACKAGES; need_fonts; need_web_modules; }

# configure DIR CC OPTIONS...: set up once, or again when the options changed.
configure() {
  local dir=$1 cc=$2
  shift 2
  local wanted="$cc $*"
  if [ -f "$dir/build.ninja" ] && [ "$(cat "$dir/.options" 2>/dev/null)" = "$wanted" ]; then
    return 0
  fi
  rm -rf "$dir"
  mkdir -p "$dir"
  CC=$cc meson setup "$dir" -Dwerror=true "$@" >"$dir/setup.log" 2>&1 ||
    { cat "$dir/setup.log" >&2; return 1; }
  printf '%s' "$wanted" >"$dir/.options"
}

compile() {
  local dir=$1
  shift
  ninja -C "$dir" "$@" >"$dir/ninja.log" 2>&1 || { tail -n 60 "$dir/ninja.log" >&2; return 1; }
}

# The program and what makes the demo; what else stands in build/ is compiled by who needs it.
build_release() {
  configure build gcc --buildtype=release
  compile build for-install demo/make-rides "$@"
}

# ---- tests: every step adds to the three counts ----
passed=0 failed=0 skipped=0

step() { # step NAME COMMAND...: one check that passes or fails as a whole
  local name=$1
  shift
  local log begun=$SECONDS
  log=$(mktemp)
  if "$@" >"$log" 2>&1; then
    passed=$((passed + 1))
    echo "ok: $name ($((SECONDS - begun)) s)"
  else
    failed=$((failed + 1))
    echo "FAILED: $name"
    tail -n 60 "$log"
  fi
  rm -f "$log"
}

suite() { # suite NAME COMMAND...: prints "TOTAL p f s" as its last line
  local name=$1
  shift
  say "$name"
  local log begun=$SECONDS
  log=$(mktemp)
  "$@" 2>&1 | tee "$log" | grep -v '^TOTAL ' || true
  local total
  total=$(grep '^TOTAL ' "$log" | tail -n 1 || true)
  rm -f "$log"
  if [ -z "$total" ]; then
    echo "FAILED: $name did not come to its end"
    failed=$((failed + 1))
    return 0
  fi
  set -- $total
  passed=$((passed + $2)) failed=$((failed + $3)) skipped=$((skipped + $4))
  echo "   $2 passed, $3 failed, $4 skipped: $((SECONDS - begun)) s"
}

run_lint() { # run_lint [deep]
  say "lint"
  step "lint: layout (clang-format)" tools/lint.sh format
  step "lint: who may include whom" /usr/bin/python3 tools/check_includes.py
  step "lint: clang-tidy" tools/lint.sh tidy build-clang "${1:-}"
  step "lint: cppcheck" tools/lint.sh cppcheck
  step "lint: gcc -fanalyzer" tools/lint.sh analyzer
  step "lint: page (eslint)" npm --prefix web run --silent lint
}

build_variants() {
  say "building: gcc, clang, gcc with sanitizers"
  step "build: gcc, warnings are errors" build_release \
    tests/api/print_routes tests/npm/write_samples tests/npm/write_workouts
  step "build: benches" compile build bench-programs
  configure build-clang clang-14 --buildtype=debugoptimized -Dc_args=-g1
  step "build: clang, warnings are errors" compile build-clang
  # A trace of a fault needs lines only.
  configure build-asan gcc --buildtype=debugoptimized -Db_sanitize=address,undefined -Dc_args=-g1
  step "build: sanitizers" compile build-asan
}

# The program alone, as other processors and no optimiser at all would have it.
build_other_processors() {
  configure build-v1 gcc --buildtype=plain -Doptimization=0 -Dc_args=-march=x86-64
  step "build: no optimiser, the oldest x86-64" compile build-v1 plumbline
  configure build-v3 gcc --buildtype=release -Dc_args=-march=x86-64-v3
  step "build: x86-64-v3" compile build-v3 plumbline
}

# What gcc's release prints, every other build prints too: byte for byte.
run_same_bytes() {
  local variants=("clang=build-clang/plumbline" "sanitizers=build-asan/plumbline")
  if [ "$1" = fast ]; then
    variants+=(--quick)
  else
    build_other_processors
    variants+=("gcc -O0 for the oldest x86-64=build-v1/plumbline"
      "gcc for x86-64-v3=build-v3/plumbline")
  fi
  suite "same bytes from every build" \
    /usr/bin/python3 tests/cli/same_bytes.py build/plumbline "${variants[@]}"
}

run_fuzz() {
  configure build-fuzz clang-14 --buildtype=debugoptimized -Doptimization=1 -Dc_args=-g1 -Dfuzz=true \
    -Db_sanitize=address,undefined -Db_lundef=false
  compile build-fuzz fuzz-programs
  tools/fuzz.sh build-fuzz "$1"
}

# side_by_side FIRST SECOND: two functions of suites at once, for suites that keep one processor
# busy; what the second prints follows the first's.
side_by_side() {
  local log counts
  log=$(mktemp) counts=$(mktemp)
  (
    passed=0 failed=0 skipped=0
    "$2"
    echo "$passed $failed $skipped" >"$counts"
  ) >"$log" 2>&1 &
  local other=$!
  "$1"
  wait "$other" || true
  cat "$log"
  local theirs
  theirs=$(cat "$counts")
  rm -f "$log" "$counts"
  if [ -z "$theirs" ]; then
    echo "FAILED: $2 did not come to its end"
    failed=$((failed + 1))
    return 0
  fi
  set -- $theirs
  passed=$((passed + $1)) failed=$((failed + $2)) skipped=$((skipped + $3))
}

run_file_suites() {
  suite "command line: files" /usr/bin/python3 tests/cli/run.py build-asan/plumbline files
  run_same_bytes "$how"
  suite "what is shipped" /usr/bin/python3 tests/dist/run.py build "--$how"
}

run_roster_suites() {
  suite "command line: rosters" /usr/bin/python3 tests/cli/run.py build-asan/plumbline rosters
}

run_page_suites() {
  suite "server" /usr/bin/python3 tests/server/run.py build-asan/plumbline
  suite "bad days of the program" /usr/bin/python3 tests/faults/run.py build-asan/plumbline
  suite "tables, as readers from outside read them" \
    /usr/bin/python3 tests/peers/csv_series.py build-asan/tests/peers/print_series
  suite "written FIT files, read by an independent decoder" tools/run_npm_tests.sh build
  suite "API: the real server by its document" tools/run_api_tests.sh build
  suite "sessions of the example roster" /usr/bin/python3 tests/cli/example_sessions.py \
    build/plumbline "$(tools/example_roster.sh build)"
  suite "page: unit tests" tools/run_web_tests.sh
  suite "page: in a browser, against the real server" tools/run_browser_tests.sh build
  step "page: types" npm --prefix web run --silent check
}

run_other_suites() { side_by_side run_page_suites run_roster_suites; }

run_tests() {
  local how=$1
  need_test
  local before
  before=$(git status --porcelain 2>/dev/null || true)
  build_variants
  suite "tests under address and undefined-behaviour sanitizers" \
    /usr/bin/python3 tools/run_tests.py build-asan
  side_by_side run_file_suites run_other_suites
  if [ "$how" = all ]; then
    run_lint
    say "fuzz smoke"
    step "fuzz: 60 s over all readers" run_fuzz 60
  else
    step "lint: layout (clang-format)" tools/lint.sh format
    step "lint: who may include whom" /usr/bin/python3 tools/check_includes.py
  fi

  local expected
  expected=$(cat tests/expected-count)
  # The expected count is of a whole run with the shared data at hand.
  if [ "$how" = all ] && [ $((passed + failed)) -lt "$expected" ] && [ "$skipped" -eq 0 ]; then
    echo "FAILED: $((passed + failed)) tests ran, tests/expected-count says $expected"
    failed=$((failed + 1))
  fi
  if [ "$(git status --porcelain 2>/dev/null || true)" != "$before" ]; then
    echo "FAILED: the tests left the checkout dirty:"
    git status --porcelain
    failed=$((failed + 1))
  fi
  if [ "${CI:-}" = true ] && [ "$skipped" -gt 0 ] &&
    [ -d "${PLUMBLINE_SHARED:-../shared}" ]; then
    echo "FAILED: in CI, with the shared data at hand, nothing may be skipped"
    failed=$((failed + 1))
  fi
  if [ "$skipped" -gt 0 ]; then
    echo "$passed passed, $failed failed, $skipped skipped"
  else
    echo "$passed passed, $failed failed"
  fi
  [ "$failed" -eq 0 ]
}

run_demo() {
  need_build
  say "building"
  build_release
  demo/run.sh build build/demo-rides
  say "a roster of fourteen invented riders: nine months, about a minute"
  demo/roster.sh build build/demo-roster
}

# A copy, for what is tried on the pages stays: until the program changes, and with it the example.
run_serve() {
  need_build
  say "building"
  configure build gcc --buildtype=release
  compile build for-install
  say "the example roster: made once, a minute or two"
  local made copy=build/served/example.plumbline
  made=$(tools/example_roster.sh build)
  if [ ! -f "$copy" ] || [ "$made" -nt "$copy" ]; then
    rm -rf build/served
    mkdir -p build/served
    cp --reflink=auto "$made" "$copy"
  fi
  exec build/plumbline serve --roster "$copy" "$@"
}

run_install() {
  local prefix=/usr/local
  while [ $# -gt 0 ]; do
    case $1 in
      --prefix=?*) prefix=${1#*=}; shift ;;
      --prefix) prefix=${2:-}; shift $(($# > 1 ? 2 : 1)) ;;
      *) prefix=; break ;;
    esac
  done
  [ -n "$prefix" ] || { echo "usage: [DESTDIR=DIR] ./do install [--prefix DIR]" >&2; exit 2; }
  case $prefix in /*) ;; *) prefix=$PWD/$prefix ;; esac
  case ${DESTDIR:-/} in /*) ;; *) export DESTDIR=$PWD/$DESTDIR ;; esac
  need_build
  configure build gcc --buildtype=release
  meson configure build -Dprefix="$prefix"
  compile build for-install
  meson install -C build --no-rebuild --quiet
  echo "${DESTDIR:-}$prefix/bin/plumbline"
}

run_dist() {
  [ -d .git ] || [ -f .git ] ||
    { echo "./do dist packs what git keeps: it needs a checkout" >&2; exit 1; }
  need_build
  configure build gcc --buildtype=release
  compile build web/page.stamp fonts/DejaVuSans.ttf
  /usr/bin/python3 tools/make_tarball.py build
}

# Every screen as pictures, to be looked at; fails where words are cut off or the console has errors.
run_shots() {
  need_build
  need chromium
  build_release
  local example
  example=$(tools/example_roster.sh build)
  rm -rf build/shots
  PLUMBLINE_BUILD=$PWD/build PLUMBLINE_EXAMPLE=$example node tests/browser/shots.mjs build/shots
}

run_coverage() {
  need_test
  need gcovr
  configure build-coverage gcc --buildtype=debug -Db_coverage=true
  compile build-coverage
  /usr/bin/python3 tools/run_tests.py build-coverage >/dev/null || true
  gcovr -r . --object-directory build-coverage -f src/ --print-summary
}

# Peers of ./do bench alone; build and test never need them.
BENCH_PACKAGES="python3-numpy python3-pandas python3-scipy python3-statsmodels r-base-core
  r-cran-nlme valgrind wrk chromium"

run_bench() {
  need_build
  need $BENCH_PACKAGES
  need_node
  if ! cmp -s bench/peers/package-lock.json bench/peers/node_modules/.installed-from; then
    (cd bench/peers && npm ci --ignore-scripts --no-audit --no-fund >/dev/null &&
      cp package-lock.json node_modules/.installed-from) ||
      say "the decoders of bench/peers can't be had from npm; their rows say so"
  fi
  build_release bench-programs
  bench/run.sh build "$@"
}

run_long() {
  need_build
  build_release honesty/honesty-page
  local shared=${PLUMBLINE_SHARED:-../shared} example=build/long-example/example.plumbline
  # The record is of the example roster, made anew by this program.
  if [ "${1:-}" != --quick ] && { [ -z "${1:-}" ] || [ "${2:-}" = record ]; }; then
    rm -rf build/long-example
    build/plumbline example build/long-example >/dev/null
  fi
  case "${1:-}" in
    --quick) build/honesty/honesty-page --quick --out build/honesty-quick.md
             echo "build/honesty-quick.md" ;;
    --only) build/honesty/honesty-page --out docs/honesty.md --only "${2:?--only PART}" \
              --shared "$shared" --example "$example"
            echo "docs/honesty.md" ;;
    "") if [ ! -d "$shared/recordings/real" ]; then
          echo "./do long needs the recordings of real rides; set PLUMBLINE_SHARED to their folder" >&2
          exit 1
        fi
        build/honesty/honesty-page --out docs/honesty.md --shared "$shared" --example "$example"
        echo "docs/honesty.md" ;;
    *) echo "usage: ./do long [--quick|--only PART]" >&2; exit 2 ;;
  esac
}

case "${1:-}" in
  demo) run_demo ;;
  test)
    case "${2:-all}" in
      fast | all) run_tests "${2:-all}" ;;
      *) echo "usage: ./do test [fast|all]" >&2; exit 2 ;;
    esac ;;
  build) need_build; build_release; echo "build/plumbline" ;;
  serve) shift; run_serve "$@" ;;
  install) shift; run_install "$@" ;;
  dist) run_dist ;;
  shots) run_shots ;;
  bench) shift; run_bench "$@" ;;
  fuzz) need_test; run_fuzz "${2:-90}" ;;
  long) shift; run_long "$@" ;;
  lint) need_test; configure build-clang clang-14 --buildtype=debugoptimized; run_lint deep
        [ "$failed" -eq 0 ] ;;
  coverage) run_coverage ;;
  clean) rm -rf build build-* ;;
  *) sed -n '/^# /s/^# //p; /^set /q' "$0"; [ -z "${1:-}" ] || exit 2 ;;
esac
