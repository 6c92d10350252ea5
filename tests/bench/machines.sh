#!/bin/sh
# The machines of the mutation bench, one a line.
top=$(cd "$(dirname "$0")/../.." && pwd)
for machine in harnesses/snowplow/snowplow.loom harnesses/pump-skid/pump-skid.loom; do
  echo "$top/$machine"
done
for machine in "$top"/tests/bench/machines/*.loom; do
  [ -f "$machine" ] && echo "$machine"
done
