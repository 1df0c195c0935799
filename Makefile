# Dawnsmith. The first Go build takes a minute or two; later ones a second.
export CGO_ENABLED = 0
GO ?= go

.PHONY: run test check golden bench reference long tables release build

build:
	$(GO) build -o dawnsmith ./cmd/dawnsmith

# The main job: both demo briefs from a cold start into ./demo-out
run:
	$(GO) run ./cmd/dawnsmith demo

# Everything that must pass: set-up, formatting, vet, all tests, browser too
test: check
	$(GO) test -tags browser ./...

check:
	@./scripts/setup.sh
	@test -z "$$(gofmt -l $$(git ls-files '*.go'))" || { echo "gofmt would change:"; gofmt -l $$(git ls-files '*.go'); exit 1; }
	$(GO) vet -tags browser ./...

# Rewrite golden pictures and texts; look at the diff before committing it
golden:
	$(GO) test ./paper/... ./internal/... ./cmd/... -run 'Golden|Gallery|Script' -args -update

bench:
	$(GO) test -run '^$$' -bench . -benchmem ./lamp/... ./light/... ./day/...
	python3 tools/bench/bench.py

# Live cross-checks against general-purpose libraries, a short run
reference:
	@./scripts/reference.sh short

# Fuzz every reader and run the big campaigns: about an hour
long:
	@./scripts/reference.sh long
	$(GO) test -tags long -timeout 60m ./...
	@./scripts/fuzz.sh 600s

# Fetch the standard tables again; the diff must be empty
tables:
	python3 tools/tables/tables.py
	git diff --exit-code -- light/spectrum/data

release:
	@./scripts/release.sh
