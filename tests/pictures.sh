#!/bin/sh
# The pictures in docs/pictures/ are what the demo draws today; `make docs-pictures` draws them anew.
set -eu
top=${PL_TOP:-$(cd "$(dirname "$0")/.." && pwd)}
pinloom=${PL_BUILD:-.}/pinloom
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
passed=0
failed=0
sh "$top/tools/docs-pictures" "$pinloom" "$work"
for picture in "$work"/*.svg; do
  name=$(basename "$picture")
  if cmp -s "$picture" "$top/docs/pictures/$name"; then
    passed=$((passed + 1))
  else
    failed=$((failed + 1))
    echo "FAILED: docs/pictures/$name is stale: run make docs-pictures"
  fi
done
for picture in "$top"/docs/pictures/*.svg; do
  [ -f "$work/$(basename "$picture")" ] || { failed=$((failed + 1)); echo "FAILED: nothing draws docs/pictures/$(basename "$picture")"; }
done
echo "pictures: $passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
