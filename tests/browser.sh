#!/bin/sh
# The shop page in a real browser: the system's Chromium, driven by playwright-core, and the page's script held to eslint's rules.  Both come from
# the npm registry at the versions of tests/browser/package-lock.json and are kept in the build folder.
# Without node, npm or Chromium (./bootstrap check installs them) the tests are skipped, and say so; under CI they fail.
set -eu
if [ -n "${PL_SANITIZED:-}" ]; then echo "browser: 0 passed, 0 failed, 1 skipped"; exit 0; fi  # tried in the plain build; demos.sh writes the same pages here
top=${PL_TOP:-$(cd "$(dirname "$0")/.." && pwd)}
build=${PL_BUILD:-.}
skip() {
  if [ -n "${CI:-}" ]; then echo "FAILED: $1"; echo "browser: 0 passed, 1 failed"; exit 1; fi
  echo "SKIPPED: $1"
  echo "browser: 0 passed, 0 failed, 1 skipped"
  exit 0
}
for program in node npm chromium; do
  command -v "$program" > /dev/null || skip "$program is not installed, so the shop page is not tried in a browser"
done
mkdir -p "$build/browser"
for file in package.json package-lock.json eslint.config.mjs shop.mjs; do cp -f "$top/tests/browser/$file" "$build/browser/"; done
if ! cmp -s "$top/tests/browser/package-lock.json" "$build/browser/installed-lock"; then
  (cd "$build/browser" && npm ci --no-audit --no-fund --silent) || skip "npm could not fetch playwright-core and eslint"
  cp "$top/tests/browser/package-lock.json" "$build/browser/installed-lock"
fi
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
status=0
cp "$build/src/write/shop.js" "$build/browser/shop.js"
(cd "$build/browser" && node_modules/.bin/eslint shop.js) || { echo "FAILED: the script of the shop page against the linter's rules"; status=1; }
case $build in /*) ;; *) build=$PWD/$build ;; esac
node "$build/browser/shop.mjs" "$build/pinloom" "$top" "$work" || status=1
exit $status
