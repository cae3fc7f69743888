#!/usr/bin/env bash
# Compiles and runs the C tests and examples against an installed tree, as C99, C11 and C++17, shared and static, under valgrind where present:
# run.sh PREFIX
set -euo pipefail
prefix=$(cd "${1:?usage: run.sh PREFIX}" && pwd)
root=$(cd "$(dirname "$0")/../.." && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
strict="-Wall -Wextra -pedantic -Werror"
cc=${CC:-cc}
cxx=${CXX:-c++}

if command -v pkg-config >/dev/null; then
  export PKG_CONFIG_PATH="$prefix/lib/pkgconfig"
  flags=$(pkg-config --cflags swept)
  shared=$(pkg-config --libs swept)
  private=$(pkg-config --static --libs swept | sed 's/-lswept//; s|-L[^ ]*||')
else
  echo "pkg-config is not here: its file is not tested"
  flags="-I$prefix/include" shared="-L$prefix/lib -lswept" private="-lpthread -ldl -lm -lgcc_s"
fi

languages="c99 c11"
if command -v "$cxx" >/dev/null; then languages="$languages c++17"; else echo "$cxx is not here: C++ is not tested"; fi

runs=0
check() { # the program, with its arguments
  LD_LIBRARY_PATH="$prefix/lib" "$@" > "$work/said" || { cat "$work/said"; echo "failed: $*" >&2; exit 1; }
  runs=$((runs + 1))
}

compile() { # language, source, program, libraries
  case $1 in
    c++*) $cxx -std=$1 $strict $flags -x c++ "$2" -x none $4 -lm -o "$3" ;;
    *) $cc -std=$1 $strict $flags "$2" $4 -lm -o "$3" ;;
  esac
}

tests="hostile every clearances bolts balance correction valvetrain valve_lobes followers valve_parts valve_springs valve_clearance study study_hostile designs designs_hostile sampling sampling_hostile valve_columns"
sources="$(printf "$root/tests/c/%s.c " $tests) $(printf "$root/examples/c/%s.c " motion sheet study designs sampling)"
for language in $languages; do
  for source in $sources; do
    program=$work/$(basename "$source" .c)
    arguments=""
    [ "$(basename "$source")" != sheet.c ] || arguments=$root/examples/inline_four.toml
    compile "$language" "$source" "$program" "$shared"
    check "$program" $arguments
    compile "$language" "$source" "$program-static" "$prefix/lib/libswept.a $private"
    check "$program-static" $arguments
    if [ -n "$arguments" ]; then grep -q '"rod_bearing_clearance"' "$work/said"; fi
  done
done

# The header and the shared library name the same calls, and the tests call each.
tr '\n' ' ' < "$prefix/include/swept.h" | grep -oE '\bswept_[a-z0-9_]+\(' | tr -d '(' | sort -u > "$work/declared"
for call in $(cat "$work/declared"); do
  grep -q "\b$call\b" "$root"/tests/c/*.c || { echo "no C test calls $call" >&2; exit 1; }
done
if command -v nm >/dev/null; then
  nm -D --defined-only "$prefix/lib/libswept.so" | awk '{print $3}' | sort -u > "$work/exported"
  diff "$work/declared" "$work/exported"
  runs=$((runs + 1))
fi
if command -v readelf >/dev/null; then
  needs() { readelf -d "$1" > "$work/dynamic" && grep -q "$2.*\[libswept\.so\.0\]" "$work/dynamic"; }
  needs "$prefix/lib/libswept.so" SONAME
  needs "$work/every" NEEDED
  if needs "$work/every-static" NEEDED; then echo "the static program needs the shared library" >&2; exit 1; fi
  runs=$((runs + 1))
fi

if command -v valgrind >/dev/null; then
  # What Rust's library knows of the main thread it keeps until the process ends, by a pointer into it, which counts as possibly lost.
  memcheck="valgrind --quiet --error-exitcode=1 --leak-check=full --show-leak-kinds=definite,indirect --errors-for-leak-kinds=definite,indirect"
  for language in $languages; do
    for test in $tests; do
      compile "$language" "$root/tests/c/$test.c" "$work/$test" "$shared"
      check $memcheck "$work/$test"
    done
  done
  check $memcheck "$work/sheet" "$root/examples/vee_six.toml"
else
  echo "valgrind is not here: not run under it"
fi
echo "$runs passed, 0 failed"
