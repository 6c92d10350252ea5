#!/bin/sh
# The mutation bench at a size for every day: fixed seeds, every class, every machine.  It fails when less than the floors is found or named, or
# more than that is a false alarm.  Raise the floors when the rules do better; `make bench-mutations` is the long run.
set -eu
top=${PL_TOP:-$(cd "$(dirname "$0")/.." && pwd)}
build=${PL_BUILD:-$top}
# per cent found, per cent named, false alarms
floor="92 89 0"
said=$(mktemp "${TMPDIR:-/tmp}/mutations.XXXXXX")
trap 'rm -f "$said"' EXIT
trap 'exit 1' HUP INT TERM
passed=0
failed=0
for seed in 11 12; do
  # shellcheck disable=SC2046,SC2086
  if "$build/tests/bench/mutate" --seed $seed --tries 3 --random 4 --floor $floor $(sh "$top/tests/bench/machines.sh") > "$said" 2>&1; then
    passed=$((passed + 3))
    grep '^seed' "$said"
  else
    failed=$((failed + 1))
    cat "$said"
  fi
done
# Every remedy that is said works: done to a copy, its finding goes and no other comes.  The large machine has its turn in the long run.
# shellcheck disable=SC2046
if "$build/tests/bench/mutate" --seed 13 --tries 1 --random 2 --remedies --misses --floor 0 0 9 \
  $(sh "$top/tests/bench/machines.sh" | grep -v snowplow) > "$said" 2>&1; then
  passed=$((passed + 1))
  grep 'remedies tried' "$said"
else
  failed=$((failed + 1))
  cat "$said"
fi
echo "mutations: $passed passed, $failed failed"
[ "$failed" -eq 0 ]
