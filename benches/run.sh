#!/bin/sh
# Measures everything in benches/README.md and writes its table. On an idle machine, with the data on a disk.
# RUNTRUE_PYTHON names a python that has numpy and ross-rotordynamics; without them their rows say so.
set -eu
cd "$(dirname "$0")/.."
cargo build --release -p empty_frame
RUNTRUE_BENCH_WRITE=1 cargo bench --bench table
