#!/bin/sh
# Runs tools/floors over the sources, then plants one breach after the other in a copy and expects each to be caught.
set -eu
top=${PL_TOP:-$(cd "$(dirname "$0")/.." && pwd)}
work=$(mktemp -d "${PL_BUILD:-.}/floors.XXXXXX")
trap 'chmod -R u+w "$work"; rm -rf "$work"' EXIT
trap 'exit 1' HUP INT TERM
passed=0
failed=0

pass() { passed=$((passed + 1)); }
fail() { failed=$((failed + 1)); echo "FAILED: $1"; }

if "$top/tools/floors" "$top"; then pass; else fail "the sources keep to the floors"; fi

# planted FILE WORDS LINE...: LINEs written as FILE must be reported, with WORDS, and nothing else.
planted() {
  file=$1 words=$2
  shift 2
  rm -rf "$work/tree"
  mkdir -p "$work/tree/src" "$work/tree/tests" "$work/tree/tools" "$work/tree/$(dirname "$file")"
  cp "$top/DEVELOPERS.md" "$work/tree/"
  printf '%s\n' "$@" > "$work/tree/$file"
  status=0
  "$top/tools/floors" "$work/tree" > "$work/said" 2>&1 || status=$?
  if [ "$words" = fine ]; then
    if [ "$status" -eq 0 ]; then pass; else fail "$file with '$*' is fine, but was refused:"; cat "$work/said"; fi
  elif [ "$status" -eq 1 ] && grep -q "^$file:[0-9]*: .*$words" "$work/said" && grep -q ': 1 breaches' "$work/said"; then
    pass
  else
    fail "$file with '$*' was not caught once with '$words':"
    cat "$work/said"
  fi
}

planted src/base/x.c 'floor 2' '#include "harness/harness.h"'
planted src/text/x.c 'floor 2' '#include "harness/harness.h"'
planted src/standard/x.c 'floor 2' '#include "harness/harness.h"'
planted src/harness/x.c fine '#include "standard/wire.h"'
planted src/network/x.h 'floor 3' '#include "model/build.h"'
planted src/draw/x.c 'floor 5' '  #  include "sheet/sheet.h"'
planted src/rules/x.c 'floor 7' '#include "cli/options.h"'
planted src/network/x.c fine '#include "network/x_inner.h"' '#include "x_inner.h"'
planted src/fault/x.c 'private to network/' '#include "network/network_inner.h"'
planted src/fault/x_inner.h 'private to network/' '#include "network/network_inner.h"'
planted src/rules/x.c 'private to fault/' ' # include "fault/sweep_inner.h"'
planted src/fault/x.c fine '#include "network/system.h"'
planted src/fault/x.c fine '/* a comment that has' '#include "network/network_inner.h"' 'in it */'
planted tests/test_network.c fine '#include "network/network_inner.h"'
planted tests/test_network_order.c fine '#include "network/elimination_inner.h"' '#include "fault/fault.h"'
planted tests/test_fault.c 'private to network/ and its tests' '#include "network/network_inner.h"'
planted tests/bench/x.c 'private to network/ and its tests' '#include "network/network_inner.h"'
planted src/write/x.c 'in no room' '#include "nowhere/x.h"'
planted src/nowhere/x.c 'in no room' 'int x;'
planted src/write/x.c fine '#include "draw/scene.h"' '#include "base/arena.h"' '#include "write/y.h"'
planted src/main.c fine '#include "cli/cli.h"' '#include <stdio.h>'
planted src/network/x.c 'network/sparse.c may' '#include <suitesparse/klu.h>'
planted src/network/sparse.c fine '#include <suitesparse/klu.h>'
planted src/cli/x.c 'write/xml.c may' '#include <libxml/xmlwriter.h>'
planted src/write/xml.c fine '#include <libxml/xmlwriter.h>'
planted src/draw/x.c 'draw/graph.c may' '#include <graphviz/gvc.h>'
planted src/draw/graph.h 'draw/graph.c may' '#include <cgraph.h>'
planted src/write/x.c 'does not name' '#include <png.h>'
planted src/base/x.c 'prints to the terminal' 'void f(void) { fprintf(stderr, "x"); }'
planted src/rules/x.c 'prints to the terminal' 'void f(void) { printf("x"); }'
planted src/write/x.c 'prints to the terminal' 'void f(void) { fputs("x", stdout); }'
planted src/cli/x.c fine 'void f(void) { fprintf(stderr, "x"); exit(3); }'
planted src/base/x.c fine 'void f(void) { pl_buffer_printf(b, "printf(%d) exit(1)", 1); /* printf(stderr) */ }'
planted src/base/x.c fine '/* a comment' 'that exit(1) runs over' '*/ int x; // malloc(1)' "char c = '\"'; int y;"
planted src/base/x.c 'ends the process' 'void f(void) { exit(1); }'
planted src/network/x.c 'ends the process' 'void f(void) { abort (); }'
planted src/base/arena.c fine 'void f(void) { abort(); }'
planted src/text/x.c 'ends the process' 'void f(void) { longjmp(b, 1); }'
planted src/cli/x.c 'runs a program' 'void f(void) { system("ls"); }'
planted src/text/x.c 'memory of its own' 'void f(void) { p = malloc(1); }'
planted src/cli/x.c 'memory of its own' 'void f(void) { p = strdup(q); }'
planted src/base/x.c 'memory of its own' 'void f(void) { free(q); }'
planted src/base/arena.c fine 'void f(void) { p = realloc(q, calloc(1, 2)); free(p); }'
planted src/draw/x.c fine 'void f(void) { xmlFree(q); pl_arena_strdup(a, q); }'
planted src/write/x.c 'by a format' 'void f(void) { pl_buffer_printf(b, "%.2f V", v); }'
planted src/cli/x.c 'by a format' 'void f(void) { printf("%g", v); }'
planted src/cli/x.c 'by a format' 'void f(void) { printf("100%% of %*.*f", 1, 2, v); }'
planted src/cli/x.c fine 'void f(void) { printf("100%%fine 5 % for %s %zu", s, n); }'
planted src/base/number.c fine 'void f(void) { snprintf(b, 3, "%.17g", v); strtod(t, &e); }'
planted src/text/x.c 'reads a number' 'void f(void) { v = strtod(t, &e); }'
long=$(i=0; while [ $i -lt 1001 ]; do echo 'int x;'; i=$((i + 1)); done)
planted src/base/x.c '1001 lines long' "$long"
planted tests/test_x.c '1001 lines long' "$long"
planted src/base/x.c fine "${long%?int x;}"

# A page that lost its table is not taken for permission.
mkdir -p "$work/bare/src" "$work/bare/tests" "$work/bare/tools"
echo 'No table here.' > "$work/bare/DEVELOPERS.md"
status=0
"$top/tools/floors" "$work/bare" > "$work/said" 2>&1 || status=$?
if [ "$status" -eq 2 ]; then pass; else fail "a DEVELOPERS.md without a table gives status 2, not $status"; fi

echo "floors: $passed passed, $failed failed"
[ "$failed" -eq 0 ]
