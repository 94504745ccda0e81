#!/bin/bash
# Writes docs/benchmarks.md: the peers and ringtrue's own benchmarks, as they
# print them. Needs a quiet machine and some minutes. With a file's name it
# writes there instead.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
page=$(realpath "${1:-docs/benchmarks.md}")
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# block TITLE COMMAND... runs a command and pastes what it prints.
block() {
  local title=$1
  shift
  echo "$title" >&2
  printf '\n## %s\n\n```\n' "$title"
  "$@" | grep -vE '^(goos|goarch|pkg|cpu|PASS|ok)\b' | sed "s|$work/||g"
  printf '```\n'
}

bench() { go test -run '^$' -benchmem -bench "$@"; }

# took COMMAND... is the shortest time of nine runs of the program.
took() {
  local best=1000000 start ms
  for _ in 1 2 3 4 5 6 7 8 9; do
    start=$(date +%s%N)
    "$work/ringtrue" "$@" >/dev/null || (($? == 1)) # 1: not level
    ms=$((($(date +%s%N) - start) / 1000000))
    ((ms < best)) && best=$ms
  done
  printf '%5d ms  ringtrue %s\n' "$best" "$*"
}

programs() {
  took frets examples/heron.toml examples/heron-seated.csv
  took play examples/heron.toml examples/heron-seated.csv
  took play examples/heron.toml --study zone=0.01..0.08
  took plan examples/heron.toml
}

go build -ldflags '-s -w' -o "$work/ringtrue" ./cmd/ringtrue
{
  echo '# How fast'
  echo
  echo 'Written by `make benchmarks`, not by hand. Each peer is a separate program that worked on the same inputs in the same run, and its answers were'
  echo 'compared with ours. Times differ from machine to machine, ratios less so. Wanted: the contact run at least 10 times as fast as the stepwise loop in'
  echo 'plain Go at *firm*, and 5 times as fast as `g++ -O3 -ffast-math`. For levelling, its table says what is wanted.'
  echo
  echo "Measured on $(date +%F) on $(nproc) cores of $(sed -n 's/^model name\s*: //p' /proc/cpuinfo | head -1), $(go env GOVERSION), load $(cut -d' ' -f1 /proc/loadavg) at the start."
  block 'The contact run beside stepwise programs' peers/run.sh contact
  block 'Levelling beside general solvers' peers/run.sh levelling
  block 'Whole programs, from start to end' programs
  block 'The sums of the contact run' bench 'LookAhead|Simulate|Reach' ./internal/play
  block 'Estimation and zone, one core' bench '^Benchmark(From|Zone)$' -cpu 1 ./internal/heights ./internal/straight
  block 'The book, 10,000 necks' env RINGTRUE_BENCH_NECKS=10000 go test -run '^$' -bench '^BenchmarkBook$' -benchtime 3x ./internal/book
} >"$work/page"
mv "$work/page" "$page"
chmod 644 "$page"
