#!/bin/sh
# The network solved a second time by ngspice, an independent circuit simulator: every state of both demos, every node voltage within 1e-6 relative
# (1e-9 V absolute near zero).  What is compared is the settled network: the laws behind it have tests of their own.
set -eu
top=${PL_TOP:-$(cd "$(dirname "$0")/.." && pwd)}
pinloom=${PL_BUILD:-.}/pinloom
awk=${AWK:-awk}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
passed=0
failed=0

if ! command -v ngspice > /dev/null; then
  echo "ngspice.sh: SKIPPED, ngspice is not installed (apt-get install ngspice)"
  exit 77
fi

# compare NETLIST: the volts in its comments against those that ngspice prints.
compare() {
  sed '/^\.end$/d; /^\.op$/d' "$1" > "$1.ctl"
  printf '.control\nset numdgt=12\nop\nprint all\nquit\n.endc\n.end\n' >> "$1.ctl"
  ngspice -b "$1.ctl" > "$1.out" 2>&1 || true
  "$awk" '
    FNR == 1 { file++ }
    file == 1 && $1 == "*" && $2 ~ /^[0-9]+$/ && $3 ~ /^-?[0-9]/ { ours[$2] = $3; pin[$2] = $4 }
    file == 2 && $2 == "=" && $1 ~ /^(v\()?[0-9]+\)?$/ { n = $1; gsub(/[^0-9]/, "", n); theirs[n] = $3 }
    END {
      for (n in ours) {
        if (n == 0) continue
        if (!(n in theirs)) { print "no voltage for node " n " (" pin[n] ")"; bad++; continue }
        d = ours[n] - theirs[n]; if (d < 0) d = -d
        m = theirs[n] < 0 ? -theirs[n] : theirs[n]
        if (d > 1e-6 * m + 1e-9) { print pin[n] ": " ours[n] " V here, " theirs[n] " V by ngspice"; bad++ }
        if (m > 1e-3 && d / m > worst) worst = d / m
        count++
      }
      printf "%d nodes, worst difference %.1e\n", count, worst
      exit bad > 0 || count < 5
    }' "$1" "$1.out"
}

for harness in pump-skid snowplow; do
  text=$top/harnesses/$harness/$harness.loom
  for state in $(cat "$top/harnesses/$harness"/*.loom | "$awk" '$1 == "state" { print $2 }'); do
    "$pinloom" solve "$text" --state "$state" --spice > "$work/$harness-$state.cir"
    if result=$(compare "$work/$harness-$state.cir"); then
      passed=$((passed + 1))
      echo "$harness, $state: $result"
    else
      failed=$((failed + 1))
      echo "FAILED: $harness, $state"
      echo "$result"
    fi
  done
done
# A wrong answer must be seen: one voltage changed by 1e-4.
first=$(ls "$work"/*.cir | head -n 1)
sed 's/^\(\* 1 [0-9]*\)\.\([0-9]\)/\1.9\2/' "$first" > "$work/wrong.cir"
if compare "$work/wrong.cir" > /dev/null; then
  failed=$((failed + 1))
  echo "FAILED: a changed voltage was not noticed"
else
  passed=$((passed + 1))
fi
echo "ngspice.sh: $passed passed, $failed failed"
[ "$failed" -eq 0 ]
