#!/usr/bin/env bash
# Opens every DXF drawing of a build pack in a general CAD reader, the Python
# library ezdxf from the package index, in an environment of its own.
# Usage: check.sh [FOLDER]   (without a folder: a pack of the demo lamp is made)
set -euo pipefail
cd "$(dirname "$0")/../.."
version=1.4.5
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
folder=${1:-}
if [ -z "$folder" ]; then
	cp internal/catalogue/oulu-first.lamp.toml "$work/first.lamp.toml"
	go run ./cmd/dawnsmith pack "$work/first.lamp.toml" "$work/pack" --date 2026-12-01 >/dev/null
	folder=$work/pack/drawings
fi
command -v python3 >/dev/null 2>&1 || { echo "python3 is not installed: the drawings were not opened"; exit 0; }
python3 -m venv "$work/venv"
"$work/venv/bin/pip" install --quiet "ezdxf==$version" || { echo "ezdxf $version could not be installed: the drawings were not opened"; exit 0; }
"$work/venv/bin/python" tools/drawings/open.py "$folder"
