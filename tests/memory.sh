#!/bin/sh
# The command on both demos and on texts that cannot be read, watched for errors of memory and for losses: by the
# sanitizers where they are built in, else by valgrind.
set -eu
top=${PL_TOP:-$(cd "$(dirname "$0")/.." && pwd)}
build=${PL_BUILD:-.}
program=$build/pinloom
if grep -q -a -e __asan_init -e __ubsan_handle "$program"; then watcher=sanitizers
elif command -v valgrind >/dev/null 2>&1; then watcher=valgrind
else
  echo "memory: valgrind is not installed, skipped"
  exit 77
fi
work=$(mktemp -d "$build/memory.XXXXXX")
trap 'rm -rf "$work"' EXIT
trap 'exit 1' HUP INT TERM
ASAN_OPTIONS=exitcode=99${ASAN_OPTIONS:+:$ASAN_OPTIONS}
UBSAN_OPTIONS=exitcode=99${UBSAN_OPTIONS:+:$UBSAN_OPTIONS}
export ASAN_OPTIONS UBSAN_OPTIONS
passed=0
failed=0

# watch HIGHEST-STATUS PROGRAM ARGUMENT...: it may end with up to HIGHEST-STATUS, and its watcher has nothing to say.
watch() {
  highest=$1
  shift
  status=0
  : > "$work/log"
  case $watcher in
    valgrind)
      valgrind -q --error-exitcode=99 --leak-check=full --errors-for-leak-kinds=definite,indirect,possible \
        --log-file="$work/log" "$@" > "$work/out" 2>&1 || status=$? ;;
    *) "$@" > "$work/out" 2>&1 || status=$? ;;
  esac
  if [ "$status" -le "$highest" ] && [ ! -s "$work/log" ]; then passed=$((passed + 1))
  else
    failed=$((failed + 1))
    echo "FAILED: $* ended with $status"
    cat "$work/log"
    tail -n 40 "$work/out"
  fi
}

watch 0 "$program" check --json "$top/harnesses/snowplow/snowplow.loom"
watch 0 "$program" book "$top/harnesses/pump-skid/pump-skid.loom" -o "$work/pump-skid"
watch 2 "$program" check "$top/tests/fuzz/text/broken.loom"
watch 2 "$program" check "$top/tests/fuzz/text/utf16.loom"
watch 2 "$program" nonsense
if [ -x "$build/tests/replay_build" ]; then watch 0 "$build/tests/replay_build" "$top/tests/fuzz/text"; fi
# The sanitizers are quick enough for the largest job; under valgrind it takes most of a minute.
if [ "$watcher" = sanitizers ]; then
  watch 0 "$program" book "$top/harnesses/snowplow/snowplow.loom" -o "$work/snowplow"
fi

echo "memory: $passed passed, $failed failed"
[ "$failed" -eq 0 ]
