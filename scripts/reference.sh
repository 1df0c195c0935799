#!/usr/bin/env bash
# Compares our results with general-purpose libraries on fresh random inputs:
# light measures with two colour libraries, circuits with a circuit simulator.
# Usage: reference.sh short|long
set -euo pipefail
cd "$(dirname "$0")/.."
spectra=40 networks=10
[ "${1:-short}" = long ] && spectra=1000 networks=300
echo "== light: $spectra random spectra"
if command -v python3 >/dev/null 2>&1; then
	python3 tools/reference/reference.py -n "$spectra"
else
	echo "python3 is not installed: the light measures were not compared"
fi
echo "== circuit: $networks random networks"
status=0
go run ./tools/ngspice-check -count "$networks" || status=$?
# 3: the simulator is not installed, and the tool has said so
[ "$status" = 0 ] || [ "$status" = 3 ] || exit "$status"
echo "== drawings: every DXF of a pack in a CAD reader"
bash tools/drawings/check.sh
echo "== meter files of others: TM-27 and CGATS from registry packages"
if command -v python3 >/dev/null 2>&1; then
	python3 tools/samples/samples.py
else
	echo "python3 is not installed: the files were not read"
fi
