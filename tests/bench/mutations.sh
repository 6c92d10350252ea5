#!/bin/sh
# mutations.sh [SEED]: the long run of the mutation bench; its table goes into docs/rules.md.
set -eu
top=$(cd "$(dirname "$0")/../.." && pwd)
build=${PL_BUILD:-.}
# shellcheck disable=SC2046
"$build/tests/bench/mutate" --seed "${1:-1}" --tries 12 --random 6 --misses --write "$top/docs/rules.md" $(sh "$top/tests/bench/machines.sh")
# Not of the table: remedies, each done to a copy, the fault table against brute force, and mirrored machines.
# shellcheck disable=SC2046
"$build/tests/bench/mutate" --faults $(sh "$top/tests/bench/machines.sh") || true
# shellcheck disable=SC2046
"$build/tests/bench/mutate" --mirror --random 20 $(sh "$top/tests/bench/machines.sh") || true
# shellcheck disable=SC2046
"$build/tests/bench/mutate" --seed "${1:-1}" --tries 2 --random 3 --remedies --misses $(sh "$top/tests/bench/machines.sh") || true
