#!/usr/bin/env bash
# Runs every fuzz target in turn for the given time each (default 60s).
set -euo pipefail
cd "$(dirname "$0")/.."
time=${1:-60s}
grep -rl --include='*_test.go' '^func Fuzz' . | xargs -n1 dirname | sort -u | while read -r dir; do
	grep -ho '^func Fuzz[A-Za-z0-9_]*' "$dir"/*_test.go | sed 's/^func //' | sort -u | while read -r target; do
		echo "fuzz $dir $target for $time"
		go test "$dir" -run '^$' -fuzz "^$target\$" -fuzztime "$time"
	done
done
