#!/usr/bin/env bash
# Installs the header, the libraries and the pkg-config file under a prefix: install.sh PREFIX [TARGET_DIR]
set -euo pipefail
prefix=${1:?usage: install.sh PREFIX [TARGET_DIR]}
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../.." && pwd)
built=${2:-${CARGO_TARGET_DIR:-$root/target}}/release
version=$(sed -n 's/^version = "\(.*\)"/\1/p' "$root/Cargo.toml" | head -n 1)
soname=libswept.so.${version%%.*}

install -d "$prefix/include" "$prefix/lib/pkgconfig"
prefix=$(cd "$prefix" && pwd)
install -m 644 "$here/include/swept.h" "$prefix/include/swept.h"
install -m 755 "$built/libswept_c.so" "$prefix/lib/libswept.so.$version"
ln -sf "libswept.so.$version" "$prefix/lib/$soname"
ln -sf "$soname" "$prefix/lib/libswept.so"
install -m 644 "$built/libswept_c.a" "$prefix/lib/libswept.a"
sed -e "s|@PREFIX@|$prefix|" -e "s|@VERSION@|$version|" -e "s|@PRIVATE@|-lpthread -ldl -lm -lgcc_s|" \
  "$here/swept.pc.in" > "$prefix/lib/pkgconfig/swept.pc"
echo "installed swept $version under $prefix"
