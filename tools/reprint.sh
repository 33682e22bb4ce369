#!/usr/bin/env bash
# Prints the procedure of every demo module anew; a test holds the printed ones equal to what the program derives.
set -euo pipefail
cd "$(dirname "$0")/.."
for spec in procedures/modules/*.yaml; do
  head -n 1 "$spec" | grep -q '^runtrue: family' && continue
  name="$(basename "$spec" .yaml)"
  cargo run --quiet -- plan "$name" --format markdown > "procedures/printed/$name.md"
done
