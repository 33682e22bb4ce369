#!/bin/sh
# Verifies a record without the program: sh verify.sh traveler.yaml. Needs awk and sha256sum.
set -eu
before=none
n=0
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
# One file for each event, cut after its hash line.
awk -v d="$work" 'BEGIN { n = 1 } { f = sprintf("%s/%06d", d, n); print > f } /^hash: [0-9a-f]+$/ { close(f); n++ }' "$1"
for event in "$work"/*; do
  n=$((n + 1))
  stated=$(tail -n 1 "$event" | sed -n 's/^hash: //p')
  [ -n "$stated" ] || { echo "event $n: incomplete"; exit 1; }
  real=$(sed '$d' "$event" | sha256sum | cut -d ' ' -f 1)
  [ "$stated" = "$real" ] || { echo "event $n: altered"; exit 1; }
  [ "$(grep -m 1 '^before: ' "$event")" = "before: $before" ] || { echo "event $n: does not follow"; exit 1; }
  before=$stated
done
echo "$n events, unchanged"
