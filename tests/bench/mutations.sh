#!/bin/sh
# mutations.sh [SEED]: the long run of the mutation bench; its table goes into docs/rules.md.
set -eu
top=$(cd "$(dirname "$0")/../.." && pwd)
build=${PL_BUILD:-.}
# shellcheck disable=SC2046
"$build/tests/bench/mutate" --seed "${1:-1}" --tries 12 --misses --write "$top/docs/rules.md" $(sh "$top/tests/bench/machines.sh")
