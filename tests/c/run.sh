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

runs=0
check() { # the program, with its arguments
  LD_LIBRARY_PATH="$prefix/lib" "$@"
  runs=$((runs + 1))
}

for standard in c99 c11; do
  $cc -std=$standard $strict $flags "$root/tests/c/hostile.c" $shared -lm -o "$work/hostile-$standard"
  check "$work/hostile-$standard"
done
if command -v "$cxx" >/dev/null; then
  $cxx -std=c++17 $strict $flags -x c++ "$root/tests/c/hostile.c" -x none $shared -o "$work/hostile-cxx"
  check "$work/hostile-cxx"
fi
$cc -std=c99 $strict $flags "$root/tests/c/hostile.c" "$prefix/lib/libswept.a" $private -o "$work/hostile-static"
LD_LIBRARY_PATH="" "$work/hostile-static"
runs=$((runs + 1))

for example in sheet motion; do
  $cc -std=c11 $strict $flags "$root/examples/c/$example.c" $shared -o "$work/$example"
done
check "$work/motion" > /dev/null
check "$work/sheet" "$root/examples/inline_four.toml" > "$work/sheet.json"
grep -q '"rod_bearing_clearance"' "$work/sheet.json"

if command -v readelf >/dev/null; then
  readelf -d "$prefix/lib/libswept.so" | grep -q 'SONAME.*libswept.so.0'
fi
if command -v valgrind >/dev/null; then
  check valgrind --quiet --error-exitcode=1 --leak-check=full "$work/hostile-c11"
  check valgrind --quiet --error-exitcode=1 --leak-check=full "$work/sheet" "$root/examples/vee_six.toml" > /dev/null
else
  echo "valgrind is not here: not run under it"
fi
echo "$runs passed, 0 failed"
