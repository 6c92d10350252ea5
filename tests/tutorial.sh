#!/bin/sh
# Follows docs/tutorial.md as a reader would: appends its pieces of text to pump-skid.loom, makes and undoes its mistakes, runs its commands
# and compares what they print with what the page prints.  At the end the text must be harnesses/pump-skid/pump-skid.loom.
#   ```text FILE   a piece of text, appended to FILE
#   ```diff        lines with - are replaced by the lines with + until the commands of the next ```console have run
#   ```excerpt FILE  lines of harnesses/mistakes/FILE in their order, which lies in the reader's folder too
#   ```console     "$ pinloom ..." and what it prints; a line "..." alone stands for any lines up to the next one that fits
# With --write the page's printed lines are rewritten from the program (blocks with a line "..." are left alone).
set -eu
top=${PL_TOP:-$(cd "$(dirname "$0")/.." && pwd)}
build=${PL_BUILD:-$top}
program=${PINLOOM:-$build/pinloom}
page=$top/docs/tutorial.md
work=$(mktemp -d "${TMPDIR:-/tmp}/tutorial.XXXXXX")
trap 'rm -rf "$work"' EXIT
trap 'exit 1' HUP INT TERM
passed=0
failed=0
pass() { passed=$((passed + 1)); }
fail() { failed=$((failed + 1)); echo "FAILED: $1"; }
case $program in /*) ;; *) program=$PWD/$program ;; esac
mkdir "$work/shop"
cp "$top"/harnesses/mistakes/*.loom "$work/shop"
file=$work/shop/pump-skid.loom
: > "$file"
: > "$work/page"

# run COMMAND: in the shop, both streams in the order a terminal shows them.
run() (
  cd "$work/shop"
  set -f
  set -- $1
  shift
  LC_ALL=C "$program" "$@" 2>&1 || true
)

# Expected lines $1 against real lines $2, "..." standing for any lines.
same() {
  awk 'NR == FNR { real[++n] = $0; next } { want[++m] = $0 }
    END {
      i = 1
      for (j = 1; j <= m; j++) {
        if (want[j] == "...") {
          if (j == m) exit 0
          while (i <= n && real[i] != want[j + 1]) i++
        } else if (i > n || real[i] != want[j]) {
          exit 1
        } else i++
      }
      exit i == n + 1 ? 0 : 1
    }' "$2" "$1"
}

# console BLOCK: commands and their output; writes the real block to $work/real.
console() {
  : > "$work/real"
  command=
  : > "$work/want"
  judge() {
    [ -n "$command" ] || return 0
    run "$command" > "$work/out"
    if same "$work/want" "$work/out"; then pass; else fail "\`$command\` prints:"; cat "$work/out"; fi
    echo "$ $command" >> "$work/real"
    if grep -qx '\.\.\.' "$work/want"; then cat "$work/want" >> "$work/real"; else cat "$work/out" >> "$work/real"; fi
  }
  while IFS= read -r printed; do
    case $printed in
      '$ '*) judge; command=${printed#\$ }; : > "$work/want" ;;
      *) printf '%s\n' "$printed" >> "$work/want" ;;
    esac
  done < "$1"
  judge
}

# mistake BLOCK: replaces the lines marked - by those marked +.
mistake() {
  grep '^-' "$1" | sed 's/^-//' > "$work/old"
  grep '^+' "$1" | sed 's/^+//' > "$work/new"
  cp "$file" "$work/good"
  if awk -v old="$work/old" -v new="$work/new" '
    BEGIN { while ((getline l < old) > 0) o[++n] = l; while ((getline l < new) > 0) r[++m] = l }
    { t[NR] = $0 }
    END {
      for (i = 1; i <= NR; i++) {
        k = 0
        if (!done) while (k < n && t[i + k] == o[k + 1]) k++
        if (!done && k == n) { for (j = 1; j <= m; j++) print r[j]; i += n - 1; done = 1 } else print t[i]
      }
      exit done ? 0 : 1
    }' "$work/good" > "$file"; then pass; else fail "the mistake is made on lines that are there"; cat "$1"; fi
}

# excerpt FILE BLOCK: every line of the block stands in the file, in that order.
excerpt() {
  if awk 'NR == FNR { want[++n] = $0; next } k < n && $0 == want[k + 1] { k++ } END { exit k == n ? 0 : 1 }' "$2" "$work/shop/$1"; then pass; else
    fail "these lines stand in $1"; cat "$2"; fi
}

inside=
while IFS= read -r line; do
  case $inside:$line in
    :'```text pump-skid.loom' | :'```diff' | :'```console' | :'```excerpt '*)
      inside=${line#'```'}
      printf '%s\n' "$line" >> "$work/page"
      : > "$work/block" ;;
    :*) printf '%s\n' "$line" >> "$work/page" ;;
    *:'```')
      cp "$work/block" "$work/real"
      case $inside in
        text*) cat "$work/block" >> "$file" ;;
        excerpt*) excerpt "${inside#excerpt }" "$work/block" ;;
        diff) mistake "$work/block" ;;
        console)
          console "$work/block"
          if [ -f "$work/good" ]; then mv "$work/good" "$file"; fi ;;
      esac
      cat "$work/real" >> "$work/page"
      printf '%s\n' "$line" >> "$work/page"
      inside= ;;
    *) printf '%s\n' "$line" >> "$work/block" ;;
  esac
done < "$page"
if cmp -s "$file" "$top/harnesses/pump-skid/pump-skid.loom"; then pass; else fail "the page builds the shipped pump-skid.loom"; diff "$file" "$top/harnesses/pump-skid/pump-skid.loom" || true; fi
if [ "${1:-}" = --write ]; then cat "$work/page" > "$page"; fi
echo "tutorial: $passed passed, $failed failed"
[ "$failed" -eq 0 ]
