#!/bin/sh
# The C of the tree is laid out as tools/style says, and the tool sees what it is to see.
set -u
top=${PL_TOP:-$(cd "$(dirname "$0")/.." && pwd)}
work=$(mktemp -d) || exit 3
trap 'rm -rf "$work"' EXIT
passed=0 failed=0
good() { passed=$((passed + 1)); }
bad() { failed=$((failed + 1)); echo "style: $1"; }

sh "$top/tools/style" "$top" > "$work/said" 2>&1 && good || bad "the tree: tools/style says what to mend"
grep -v ' passed, ' "$work/said"

# refused WHAT WORDS: a tree whose one source is $work/x.c is refused with these words
refused() {
  rm -rf "$work/tree"
  mkdir -p "$work/tree/src/base" "$work/tree/tests"
  cp "$top/.clang-format" "$work/tree/"
  echo 'int one;' > "$work/tree/tests/one.c"
  cp "$work/x.c" "$work/tree/src/base/"
  if sh "$top/tools/style" "$work/tree" > "$work/said" 2>&1; then bad "$1 passes"
  elif grep -q "$2" "$work/said"; then good
  else bad "$1: not told: $(cat "$work/said")"
  fi
}
{ printf '// '; printf 'x%.0s' $(seq 1 100); echo; } > "$work/x.c"
refused "a line of 103 columns" "columns"
{ echo 'int f(void) {'; for i in $(seq 1 120); do echo '  ;'; done; echo '}'; } > "$work/x.c"
refused "a function of 122 lines" "a function of 122 lines"
for i in $(seq 1 1200); do echo "int v$i;"; done > "$work/x.c"
refused "a file of 1200 lines" "a file of"
for i in $(seq 1 9); do echo "int v$i = 1 + 2 + 3 + 4 + 5;"; done > "$work/x.c"
refused "13 tokens to a line" "tokens a line is the limit"
echo 'int  x;' > "$work/x.c"
if command -v clang-format-14 > /dev/null 2>&1; then refused "two blanks" "clang-format"; fi
echo "style: $passed passed, $failed failed"
[ "$failed" -eq 0 ]
