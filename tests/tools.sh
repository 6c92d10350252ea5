#!/bin/sh
# The small tools of the build: tools/embed gives back every byte, tools/count-tests misses no failure.
set -eu
top=${PL_TOP:-$(cd "$(dirname "$0")/.." && pwd)}
work=$(mktemp -d "${PL_BUILD:-.}/tools.XXXXXX")
trap 'rm -rf "$work"' EXIT
trap 'exit 1' HUP INT TERM
passed=0
failed=0

expect() {  # expect WHAT GOT WANTED
  if [ "$2" = "$3" ]; then passed=$((passed + 1))
  else
    failed=$((failed + 1))
    printf 'FAILED: %s: got <%s>, expected <%s>\n' "$1" "$2" "$3"
  fi
}

# embed: three files with awkward bytes, and a fourth that is no part file.
mkdir "$work/parts" "$work/back" "$work/empty"
printf 'relay "a\\b" ?\?=\303\244\r\n\ttab' > "$work/parts/b.loom"
printf '' > "$work/parts/a.loom"
i=0
while [ $i -lt 300 ]; do echo "line $i of many"; i=$((i + 1)); done > "$work/parts/c.loom"
echo no > "$work/parts/d.txt"
cat > "$work/main.c" <<'END'
#include <stdio.h>
#include "model/parts_data.h"
int main(int argc, char **argv) {
  for (unsigned i = 0; i < pl_parts_count; i++) {
    char path[4096];
    snprintf(path, sizeof path, "%s/%s", argv[argc - 1], pl_parts_files[i].name);
    FILE *file = fopen(path, "wb");
    if (file == NULL || pl_parts_files[i].text[pl_parts_files[i].size] != 0) return 1;
    fwrite(pl_parts_files[i].text, 1, pl_parts_files[i].size, file);
    if (fclose(file) != 0) return 1;
    printf("%s %u\n", pl_parts_files[i].name, pl_parts_files[i].size);
  }
  return 0;
}
END
embed() {
  sh "$top/tools/embed" "$1" "$top/harnesses/starter/starter.loom" > "$work/data.c" &&
    ${CC:-cc} -std=c17 -Wall -Wextra -Werror -I"$top/src" -o "$work/embed" "$work/main.c" "$work/data.c" &&
    "$work/embed" "$work/back"
}
expect "embedded names and sizes" "$(embed "$work/parts" | tr '\n' ' ')" \
  "a.loom 0 b.loom $(($(wc -c < "$work/parts/b.loom"))) c.loom $(($(wc -c < "$work/parts/c.loom"))) "
for name in a b c; do
  expect "bytes of $name.loom" "$(cmp "$work/parts/$name.loom" "$work/back/$name.loom" && echo same)" same
done
expect "an empty folder" "$(embed "$work/empty" && echo built)" built

# count-tests
counted() {
  printf '%s\n' "$@" > "$work/log"
  status=0
  sh "$top/tools/count-tests" "$work/log" || status=$?
  echo "status $status"
}
summary='Run Summary:    Type  Total    Ran Passed Failed Inactive'
expect "one good program" "$(counted "$summary" '  suites 1 1 n/a 0 0' '  tests 12 12 12 0 0' '  asserts 99 99 99 0 n/a' \
  'PASS: tests/test_x')" '12 passed, 0 failed
status 0'
expect "a failed test" "$(counted "$summary" '  suites 1 1 n/a 0 0' '  tests 12 12 11 1 0' '  asserts 99 99 98 1 n/a' \
  'FAIL: tests/test_x')" '11 passed, 1 failed
status 1'
expect "a suite that cannot start" "$(counted "$summary" '  suites 2 1 n/a 1 0' '  tests 2 2 2 0 0' \
  '  asserts 9 9 9 0 n/a' 'FAIL: tests/test_x')" '2 passed, 1 failed
status 1'
expect "a crash among good ones" "$(counted "$summary" '  suites 1 1 n/a 0 0' '  tests 3 3 3 0 0' \
  '  asserts 9 9 9 0 n/a' 'PASS: tests/test_a' 'Segmentation fault' 'FAIL: tests/test_b' \
  "$summary" '  suites 1 1 n/a 0 0' '  tests 4 4 4 0 0' '  asserts 9 9 9 0 n/a' 'PASS: tests/test_c')" \
  '7 passed, 1 failed
status 1'
expect "script tests" "$(counted 'floors: 44 passed, 0 failed' 'PASS: tests/floors.sh' 'x: 1 passed, 2 failed' \
  'FAIL: tests/x.sh')" '45 passed, 2 failed
status 1'
expect "nothing ran" "$(counted 'All 0 tests passed')" '0 passed, 0 failed
status 1'

echo "tools: $passed passed, $failed failed"
[ "$failed" -eq 0 ]
