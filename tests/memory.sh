#!/bin/sh
# The command on both demos, and on texts that cannot be read, under valgrind: no error, nothing lost.  A build with
# sanitizers is skipped: they watch the same.
set -eu
top=${PL_TOP:-$(cd "$(dirname "$0")/.." && pwd)}
build=${PL_BUILD:-.}
program=$build/pinloom
if ! command -v valgrind >/dev/null 2>&1; then
  echo "memory: valgrind is not installed, skipped"
  exit 77
fi
if grep -q -a -e __asan_init -e __ubsan_handle "$program"; then
  echo "memory: the sanitizers watch this build, skipped"
  exit 77
fi
work=$(mktemp -d "$build/memory.XXXXXX")
trap 'rm -rf "$work"' EXIT
trap 'exit 1' HUP INT TERM
passed=0
failed=0

# watch HIGHEST-STATUS ARGUMENT...: the command may end with up to HIGHEST-STATUS, valgrind with nothing to say.
watch() {
  highest=$1
  shift
  status=0
  valgrind -q --error-exitcode=99 --leak-check=full --errors-for-leak-kinds=definite,indirect,possible \
    --log-file="$work/log" "$program" "$@" > "$work/out" 2>&1 || status=$?
  if [ "$status" -le "$highest" ] && [ ! -s "$work/log" ]; then passed=$((passed + 1))
  else
    failed=$((failed + 1))
    echo "FAILED: pinloom $* ended with $status"
    cat "$work/log"
    tail -n 20 "$work/out"
  fi
}

for demo in pump-skid snowplow; do
  text=$top/harnesses/$demo/$demo.loom
  watch 1 check --json "$text"
  watch 1 book "$text" -o "$work/$demo"
done
for text in "$top"/tests/fuzz/text/*.loom; do watch 2 check "$text"; done

echo "memory: $passed passed, $failed failed"
[ "$failed" -eq 0 ]
