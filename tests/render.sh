#!/bin/sh
# The demo's drawings are valid, need nothing from outside, and look the same by two independent renderers: rsvg-convert and
# chromium.  Both paint each page at 96 dots an inch; of all dots at most 0.5 % may differ by more than half of black to white
# (edges of letters and lines fall differently), and no patch of 4 by 4 mm in a fifth of its dots (something there or not).
set -eu
if [ -n "${PL_SANITIZED:-}" ]; then echo "render: 0 passed, 0 failed, 1 skipped"; exit 0; fi  # tried in the plain build; demos.sh writes the same pages here
top=${PL_TOP:-$(cd "$(dirname "$0")/.." && pwd)}
pinloom=${PL_BUILD:-.}/pinloom
work=$(mktemp -d)
mkdir "$work/cut"
trap 'rm -rf "$work"' EXIT
passed=0
failed=0
skipped=0
good() { passed=$((passed + 1)); }
bad() { failed=$((failed + 1)); echo "FAILED: $*"; }
# Without a home and a profile of its own chromium reaches for the user's.
paint() {
  chromium --headless --no-sandbox --disable-gpu --hide-scrollbars --force-device-scale-factor=1 --user-data-dir="$work/profile" \
    --window-size="1123,$3" --screenshot="$2" "file://$1" > "$work/chromium.log" 2>&1
}

"$pinloom" draw "$top/harnesses/snowplow/snowplow.loom" -o "$work/out" > /dev/null
for drawing in "$work"/out/*.svg; do
  if grep -v '^<svg ' "$drawing" | grep -qE '(href|src)="[a-z]+:|url\(|@import|<script|<image|<foreignObject|http:'; then
    bad "$(basename "$drawing") refers to something outside"
  else
    good
  fi
done
if command -v xmllint > /dev/null; then
  if xmllint --noout --nonet "$work"/out/*.svg; then good; else bad "xmllint refuses a drawing"; fi
else
  skipped=$((skipped + 1))
  echo "SKIPPED: xmllint is not installed"
fi
# patches A B: how many patches of 4 by 4 mm (15 dots) differ by a fifth of their dots; dots A B: how many dots differ by half of black to white
dots() { compare -metric AE -fuzz 50% "$1" "$2" null: 2>&1 | sed 's/[ .].*//' || true; }
patches() {
  compare -metric AE -fuzz 40% "$1" "$2" -compose src -highlight-color black -lowlight-color white "$work/mask.png" > /dev/null 2>&1 || true
  rm -f "$work"/small.*
  mogrify -path "$work" -format pgm -scale 6.6667% -compress none "$work/mask.png"
  "${AWK:-awk}" 'NR > 3 { for (i = 1; i <= NF; i++) if ($i < 204) n++ } END { print n + 0 }' "$work/mask.pgm"
}
if command -v chromium > /dev/null && command -v rsvg-convert > /dev/null && command -v compare > /dev/null; then
  names='circuit-starting circuit-engine_20sensors circuit-work_20lights connector-ECM_-c-A legend-symbols legend-colours'
  high=0
  { # one page with all of them, since starting chromium takes longest
    echo '<!DOCTYPE html><html><head><style>body{margin:0}img{display:block;width:1123px;height:794px}</style></head><body>'
    for name in $names; do echo "<img src=\"out/$name.svg\" alt=\"\">"; done
    echo '</body></html>'
  } > "$work/all.html"
  for name in $names; do
    rsvg-convert -d 96 -p 96 -w 1123 -h 794 -b white "$work/out/$name.svg" -o "$work/a-$name.png"
    high=$((high + 794))
  done
  if paint "$work/all.html" "$work/all.png" "$high" && [ -s "$work/all.png" ]; then
    y=0
    for name in $names; do
      mogrify -path "$work/cut" -crop "1123x794+0+$y" +repage "$work/all.png"
      mv "$work/cut/all.png" "$work/b-$name.png"
      y=$((y + 794))
      differ=$(dots "$work/a-$name.png" "$work/b-$name.png")
      whole=$(patches "$work/a-$name.png" "$work/b-$name.png")
      if [ "$differ" -le $((1123 * 794 / 200)) ] && [ "$whole" -eq 0 ]; then good
      else bad "$name: $differ dots and $whole patches differ"
      fi
    done
    # and it can fail: the same page without one wire
    sed '/data-what="wire" data-name="24"/,/^<.g>$/d' "$work/out/circuit-starting.svg" > "$work/less.svg"
    rsvg-convert -d 96 -p 96 -w 1123 -h 794 -b white "$work/less.svg" -o "$work/less.png"
    if [ "$(patches "$work/less.png" "$work/b-circuit-starting.png")" -gt 0 ]; then good
    else bad "a drawing without one of its wires looks the same"
    fi
  else
    skipped=$((skipped + 1))
    echo "SKIPPED: chromium does not paint here: $(tail -n 1 "$work/chromium.log")"
  fi
else
  skipped=$((skipped + 1))
  echo "SKIPPED: chromium, rsvg-convert or compare (imagemagick) is not installed"
fi
echo "render: $passed passed, $failed failed, $skipped skipped"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
