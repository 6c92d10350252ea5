#!/bin/sh
# Replays the seeds and past troubles of every fuzz target, and all harness texts of the tree, without the fuzzer.
set -eu
top=${PL_TOP:-$(cd "$(dirname "$0")/.." && pwd)}
build=${PL_BUILD:-.}
passed=0
failed=0
log=$(mktemp "$build/replay.XXXXXX")
trap 'rm -f "$log"' EXIT
trap 'exit 1' HUP INT TERM

for program in "$build"/tests/replay_*; do
  [ -f "$program" ] && [ -x "$program" ] || continue
  if "$program" "$top/tests/fuzz" "$top/harnesses" > "$log" 2>&1; then
    passed=$((passed + $(sed -n 's/^replay: \([0-9]*\) passed.*/\1/p' "$log")))
  else
    failed=$((failed + 1))
    echo "FAILED: $(basename "$program"); the last lines, with the file it was at:"
    tail -n 40 "$log"
  fi
done

echo "fuzz: $passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
