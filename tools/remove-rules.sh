#!/usr/bin/env bash
# Takes the rules of the planner out one by one, in a copy of the source, and tells which of them no test misses.
# Each rule is one line of tools/rules.txt: FILE, a tab, the text of one line in it, a tab, what stands in its place.
# Usage: tools/remove-rules.sh [FIRST [LAST]]
set -euo pipefail
cd "$(dirname "$0")/.."
copy="$(mktemp -d)"
trap 'rm -rf "$copy"' EXIT
git ls-files -z | xargs -0 cp --parents -t "$copy"
export CARGO_TARGET_DIR="${CARGO_TARGET_DIR:-$PWD/target}"
number=0
survived=0
while IFS=$'\t' read -r file line instead; do
  number=$((number + 1))
  if [ "$number" -lt "${1:-1}" ] || [ "$number" -gt "${2:-9999}" ]; then continue; fi
  grep -qF -- "$line" "$copy/$file" || { echo "$number: not found any more: $file: $line"; exit 2; }
  cp "$copy/$file" "$copy/kept"
  awk -v line="$line" -v instead="$instead" '!done && (at = index($0, line)) { $0 = substr($0, 1, at - 1) instead substr($0, at + length(line)); done = 1 } { print }' "$copy/kept" > "$copy/$file"
  # What does not compile is no rule removed: a test that "finds" it would prove nothing.
  (cd "$copy" && cargo check --quiet --lib 2>/dev/null) || { echo "$number: does not compile: $file: $line"; exit 2; }
  if (cd "$copy" && cargo test --quiet --lib procedure::engine >/dev/null 2>&1 \
      && cargo test --quiet --lib procedure::tests >/dev/null 2>&1 \
      && cargo test --quiet --test order_of_work --test generated_specs --test change >/dev/null 2>&1); then
    echo "$number: SURVIVED $file: $line"
    survived=$((survived + 1))
  else
    echo "$number: found   $file: $line"
  fi
  cp "$copy/kept" "$copy/$file"
done < tools/rules.txt
echo "$survived survived"
[ "$survived" -eq 0 ]
