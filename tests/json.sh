#!/bin/sh
# All JSON that the commands print is read by another program's parser, names and texts of every kind of letter in it.
set -eu
top=${PL_TOP:-$(cd "$(dirname "$0")/.." && pwd)}
build=${PL_BUILD:-.}
case $build in /*) ;; *) build=$PWD/$build ;; esac
command -v node > /dev/null 2>&1 || { echo "json: node is not here: SKIPPED (install nodejs)"; exit 77; }
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cd "$top"
n=0
# say COMMAND...: its output is one document to be parsed
say() {
  n=$((n + 1))
  "$build/pinloom" "$@" > "$work/$n.json" 2> /dev/null || [ $? -le 2 ]
}
for text in harnesses/snowplow/snowplow.loom harnesses/pump-skid/pump-skid.loom; do
  say check --json "$text"
  say solve --json "$text"
  say suspect --table -o "$work" "$text"
  say suspect --json -o "$work" "$text" "all as it should, off"
done
for text in harnesses/mistakes/*.loom; do say check --json "$text"; done
# Quotes, backslashes, a tab, a byte that is no UTF-8, signs beyond 16 bits, in titles and in what an error quotes.
printf 'machine "back\\slash \303\251 \360\237\230\200 \342\200\250 /"\nplace A "tab\there \302\205"\nlamp \\x at A\nbattery B at A \377\n' > "$work/odd.loom"
say check --json "$work/odd.loom"
say solve --json "$work/odd.loom"
node -e '
  const { readFileSync } = require("node:fs");
  let passed = 0, failed = 0;
  for (let i = 1; i <= Number(process.argv[2]); i++) {
    const text = readFileSync(`${process.argv[1]}/${i}.json`, "utf8");
    if (text === "") continue;  // a command that had nothing to say, which its status tells
    try { JSON.parse(text); passed++; } catch (error) { failed++; console.log(`${i}: ${error.message}\n${text.slice(0, 200)}`); }
  }
  console.log(`json: ${passed} passed, ${failed} failed`);
  process.exitCode = failed === 0 && passed >= 20 ? 0 : 1;
' "$work" "$n"
