#!/usr/bin/env bash
# Takes the rules of the planner out one by one, in a copy of the source, and tells which of them no test misses.
# Each rule is one line of tools/rules.txt: FILE, a tab, the text of one line in it, a tab, what stands in its place.
# Usage: tools/remove-rules.sh [NUMBER...]; without numbers all of them.
set -euo pipefail
cd "$(dirname "$0")/.."

# A rule that is not found any more would be told as found by a test that cannot compile: none is run then.
number=0
missing=0
while IFS=$'\t' read -r file line instead; do
  number=$((number + 1))
  grep -qF -- "$line" "$file" || { echo "$number: not found any more: $file: $line"; missing=1; }
done < tools/rules.txt
[ "$missing" -eq 0 ] || exit 2
echo "$number rules, each found in its file"

copy="$(mktemp -d)"
trap 'rm -rf "$copy"' EXIT
git ls-files -z | xargs -0 cp --parents -t "$copy"
export CARGO_TARGET_DIR="${CARGO_TARGET_DIR:-$PWD/target}"

# What the tests say with every rule in its place comes first: where one fails anyway, each rule would count as found.
passes() {
  (cd "$copy" && cargo test --quiet --lib procedure::engine >/dev/null 2>&1 </dev/null \
    && cargo test --quiet --lib procedure::tests >/dev/null 2>&1 </dev/null \
    && cargo test --quiet --test order_of_work --test generated_specs --test change --test change_again >/dev/null 2>&1 </dev/null)
}
passes || { echo "the tests fail with no rule removed; mend that first"; exit 2; }
echo "the tests pass with no rule removed"

number=0
survived=0
broken=0
while IFS=$'\t' read -r file line instead; do
  number=$((number + 1))
  case " ${*:-$number} " in *" $number "*) ;; *) continue ;; esac
  cp "$copy/$file" "$copy/kept"
  awk -v line="$line" -v instead="$instead" '!done && (at = index($0, line)) { $0 = substr($0, 1, at - 1) instead substr($0, at + length(line)); done = 1 } { print }' "$copy/kept" > "$copy/$file"
  if ! (cd "$copy" && cargo check --quiet --lib >/dev/null 2>&1 </dev/null); then
    echo "$number: does not compile without it: $file: $line"
    broken=$((broken + 1))
  elif passes; then
    echo "$number: SURVIVED $file: $line"
    survived=$((survived + 1))
  else
    echo "$number: found   $file: $line"
  fi
  cp "$copy/kept" "$copy/$file"
done < tools/rules.txt
echo "$survived survived, $broken did not compile"
[ "$survived" -eq 0 ] && [ "$broken" -eq 0 ]
