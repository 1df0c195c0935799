#!/usr/bin/env bash
# Installs what the tests need and this machine lacks, where it can, and says
# plainly what it could not. Never fails: the tests decide what they can do
# without.
set -u
have() { command -v "$1" >/dev/null 2>&1; }
say() { printf 'setup: %s\n' "$1"; }

have go || { say "Go is missing: install Go 1.26 or newer from your system's packages"; exit 0; }

want=""
have chromium || have chromium-browser || have google-chrome || want="$want chromium"
have pdftotext || want="$want poppler-utils"
have ngspice || want="$want ngspice"
if [ -n "$want" ]; then
	if have apt-get && [ "$(id -u)" = 0 ]; then
		say "installing$want"
		export DEBIAN_FRONTEND=noninteractive
		apt-get update -qq >/dev/null 2>&1 || true
		for p in $want; do
			apt-get install -y -qq --no-install-recommends "$p" >/dev/null 2>&1 || say "could not install $p"
		done
	else
		say "not installed (needs root and apt-get):$want"
	fi
fi
have chromium || have chromium-browser || have google-chrome || say "no Chromium: the browser tests will be skipped and say so"
have pdftotext || say "no pdftotext: the printed-page tests will be skipped and say so"
have ngspice || say "no ngspice: the circuit cross-check of 'make reference' will be skipped and say so"
have python3 || say "no python3: 'make reference' and 'make tables' cannot run"
say "ready"
