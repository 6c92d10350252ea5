#!/bin/sh
# The shipped texts: the two demos and the starter text check as promised, and every shipped part can be used.
set -eu
top=${PL_TOP:-$(cd "$(dirname "$0")/.." && pwd)}
build=${PL_BUILD:-$top}
program=${PINLOOM:-$build/pinloom}
case $program in /*) ;; *) program=$PWD/$program ;; esac
work=$(mktemp -d "${TMPDIR:-/tmp}/demos.XXXXXX")
trap 'rm -rf "$work"' EXIT
trap 'exit 1' HUP INT TERM
passed=0
failed=0
pass() { passed=$((passed + 1)); }
fail() { failed=$((failed + 1)); echo "FAILED: $1"; }
cd "$work"

# check FILE LINES LAST: exit 0, that many lines marked waived, and that last line.
check() {
  status=0
  "$program" check "$1" > said 2>&1 || status=$?
  waived=$(grep -c ': waived: ' said || true)
  last=$(tail -n 1 said)
  if [ "$status" -eq 0 ] && [ "$waived" -eq "$2" ] && [ "$last" = "$3" ]; then pass; else
    fail "check $1: exit $status, $waived waived, last line \"$last\":"
    cat said
  fi
}
check "$top/harnesses/pump-skid/pump-skid.loom" 1 '1 waived'
check "$top/harnesses/snowplow/snowplow.loom" 5 '5 waived'
sed 's/@NAME@/shed/' "$top/harnesses/starter/starter.loom" > shed.loom
check shed.loom 0 'no findings'

# `new` writes that very text, and never over a file.
rm shed.loom
if "$program" new shed > said 2>&1 && sed 's/@NAME@/shed/' "$top/harnesses/starter/starter.loom" | cmp -s - shed.loom; then pass; else
  fail "new shed writes the starter text"; cat said; fi
echo mine > shed.loom
if "$program" new shed > said 2>&1 || [ "$(cat shed.loom)" != mine ]; then fail "new shed leaves a file alone that is there"; else pass; fi

# least NUMBER WHAT FOUND: what the demo promises of itself.
least() {
  number=$1 what=$2 found=$3
  if [ "$found" -ge "$number" ]; then pass; else fail "snowplow has $found $what, not $number"; fi
}
"$program" solve "$top/harnesses/snowplow/snowplow.loom" --state off > said 2>&1 || true
least 160 wires "$(awk '/^Amps in the wires/ { on = 1; next } /^$/ { on = 0 } on' said | grep -c .)"
least 35 devices "$(awk '/^Volts at the pins/ { on = 1; next } /^$/ { on = 0 } on { sub(/\..*/, "", $1); print $1 }' said | sort -u | grep -c .)"
least 30 connectors "$(cat "$top"/harnesses/snowplow/*.loom | grep -cE '^  (connector|cavities) |part (.* sensor|sealed|work light|marker|reverse|valve|shift|terminator|diagnostic)')"

# Every shipped part: one device of each, then a finding at most, never an error.
"$program" parts > list
awk 'BEGIN { print "machine \"All parts\"" }
  { kind = $1; if (kind == "fusible") kind = kind " " $2; name = $0; sub("^" kind " +", "", name); printf "%s D%d\n  part %s\n", kind, NR, name }' list > all.loom
status=0
"$program" check all.loom > said 2>&1 || status=$?
if [ "$(wc -l < list)" -ge 100 ] && [ "$status" -le 1 ] && ! grep -q ': error: ' said; then pass; else
  fail "every one of $(wc -l < list) shipped parts can be used (exit $status)"; head -n 20 said; fi

# What the public connectors are made of is said with its source: SAE J1939-13 and SAE J560, as read second hand.
for pins in 'pin A minus' 'pin B plus' 'pin C data high' 'pin D data low'; do
  if grep -qE "^  $pins, required, from web " "$top/harnesses/parts/connectors.loom"; then pass; else fail "diagnostic connector: $pins with its source"; fi
done
echo "demos: $passed passed, $failed failed"
[ "$failed" -eq 0 ]
