#!/usr/bin/env bash
# One lint at a time: lint.sh format | tidy BUILD_DIR [deep] | cppcheck | analyzer [BUILD_DIR]
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."

sources() { git ls-files --cached --others --exclude-standard -- "$@"; }

case "$1" in
  format)
    sources 'src/*.c' 'src/*.h' 'tests/*.c' 'tests/*.h' 'fuzz/*.c' 'bench/*.c' 'demo/*.c' 'honesty/*.c' 'honesty/*.h' |
      xargs clang-format-14 --dry-run --Werror ;;
  tidy)
    # Deep follows calls along many more paths, at eight times the time.
    mode=shallow
    [ "${3:-}" = deep ] && mode=deep
    sources 'src/*.c' 'demo/*.c' 'honesty/*.c' |
      xargs -P "$(nproc)" -n 4 clang-tidy-14 --quiet --warnings-as-errors='*' -p "$2" \
        --extra-arg=-Xclang --extra-arg=-analyzer-config --extra-arg=-Xclang --extra-arg=mode=$mode \
        2> >(grep -v 'warnings\? generated\.$' >&2) ;;
  cppcheck)
    cppcheck --quiet --std=c11 --enable=warning,performance,portability --error-exitcode=1 \
      --inline-suppr --suppress=missingIncludeSystem --suppress=normalCheckLevelMaxBranches \
      -j "$(nproc)" -I src src ;;
  analyzer)
    # The core alone: tests hold faults on purpose.
    objects=$(mktemp -d)
    trap 'rm -rf "$objects"' EXIT
    flags=$(pkg-config --cflags gsl zlib libsodium libutf8proc expat libzip sqlite3 libpq glib-2.0 pangocairo pangoft2 \
      libmicrohttpd jansson)
    made=${2:-build-clang}/src # headers that meson makes
    export objects flags made
    sources 'src/*.c' | xargs -P "$(nproc)" -n 1 sh -c '
      gcc -std=c17 -O1 -D_GNU_SOURCE -ffp-contract=off -fanalyzer -Werror -Isrc -I"$made" $flags \
        -DPLUMBLINE_VERSION=\"0\" -DPLUMBLINE_COMMIT=\"0\" \
        -DPLUMBLINE_POSTGRES -c "$0" -o "$objects/$(echo "$0" | tr / _).o"' ;;
  *)
    echo "usage: lint.sh format | tidy BUILD_DIR [deep] | cppcheck | analyzer" >&2
    exit 2 ;;
esac
