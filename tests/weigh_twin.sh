#!/bin/sh
# The shop page weighs readings in a script of its own: random readings over the demo machines, said to the page's functions
# and to the command, must weigh alike.  PL_SEED and PL_COMPARISONS choose others and more.
set -eu
top=${PL_TOP:-$(cd "$(dirname "$0")/.." && pwd)}
build=${PL_BUILD:-.}
seed=${PL_SEED:-1}
count=${PL_COMPARISONS:-400}
command -v node > /dev/null 2>&1 || { echo "weigh_twin: node is not here: SKIPPED (install nodejs)"; exit 77; }
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
passed=0 failed=0
# compare MACHINE COUNT: the large machine takes its time, so it gets the smaller part
compare() {
  text=$top/harnesses/$1/$1.loom
  status=0
  "$build/pinloom" book "$text" -o "$work/$1" > "$work/said" 2>&1 || status=$?
  [ "$status" -le 1 ] || { cat "$work/said"; failed=$((failed + 1)); return; }
  node "$top/tests/weigh_twin.mjs" "$build/pinloom" "$build/src/write/shop.js" "$text" "$work/$1" "$seed" "$2" > "$work/said" 2>&1 || true
  cat "$work/said"
  counted=$(sed -n 's/^[a-z-]*\.loom: \([0-9]*\) passed, \([0-9]*\) failed.*/\1 \2/p' "$work/said")
  [ -n "$counted" ] || counted="0 1"
  passed=$((passed + ${counted% *}))
  failed=$((failed + ${counted#* }))
}
compare pump-skid $((count * 3 / 4))
compare snowplow $((count - count * 3 / 4))
echo "weigh_twin: $passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
