#!/bin/sh
# What `suspect`, `trace` and `pin` print, word for word: tests/goldens/probe.txt holds each command after a `$ ` and what it printed.
# PL_REWRITE=1 writes it anew.  The commands are those of the file itself.
set -eu
top=${PL_TOP:-$(cd "$(dirname "$0")/.." && pwd)}
build=${PL_BUILD:-.}
case $build in /*) ;; *) build=$PWD/$build ;; esac
golden=$top/tests/goldens/probe.txt
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cd "$top"
grep '^\$ ' "$golden" | while IFS= read -r line; do
  echo "$line"
  words=${line#\$ pinloom }
  name=$(printf '%s\n' "$words" | sed -n 's|.*harnesses/\([a-z-]*\)/.*|\1|p')
  case $words in suspect*) words="$words -o $work/$name" ;; esac
  status=0
  eval "\"$build/pinloom\" $words" > "$work/out" 2>&1 || status=$?
  sed "s|$work|OUT|g" "$work/out"
  echo "exit $status"
done > "$work/new"
if [ -n "${PL_REWRITE:-}" ]; then cp "$work/new" "$golden"; fi
n=$(grep -c '^\$ ' "$golden")
if [ "$n" -ge 30 ] && diff -u "$golden" "$work/new"; then echo "probe_words: $n passed, 0 failed"; else echo "probe_words: 0 passed, 1 failed"; exit 1; fi
