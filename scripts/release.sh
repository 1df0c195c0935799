#!/usr/bin/env bash
# Builds the program for the usual machines into dist/, with checksums.
set -euo pipefail
cd "$(dirname "$0")/.."
rm -rf dist && mkdir dist
for target in linux/amd64 linux/arm64 darwin/arm64 darwin/amd64 windows/amd64; do
	os=${target%/*} arch=${target#*/} ext=
	[ "$os" = windows ] && ext=.exe
	echo "building $target"
	CGO_ENABLED=0 GOOS=$os GOARCH=$arch go build -trimpath -ldflags '-s -w' -o "dist/dawnsmith-$os-$arch$ext" ./cmd/dawnsmith
done
(cd dist && sha256sum dawnsmith-* > SHA256SUMS && cat SHA256SUMS)
