# Evenfall. `make run` serves the demo, `make test` checks everything.

GO      ?= go
# Products that may fuse differ between machines; v1 pins them on amd64.
export GOAMD64 = v1
FUZZTIME ?= 10m
ADDRESS  ?= 127.0.0.1:8321

.PHONY: run build page test check tools bench bench-page pictures evenness fuzz

# The page first, because the binary carries it.
page:
	sh frontend/scripts/build.sh

build: page
	EVENFALL_REQUIRE_PAGE=1 $(GO) test ./frontend
	$(GO) build -o evenfall ./server

run: build
	./evenfall serve --demo --listen $(ADDRESS)

# Everything: formatting, vet, all Go tests with the race detector and with the
# outside programs they compare against.
# The judge of the insets runs once more over ten thousand plots, without race.
test: tools check build
	EVENFALL_REQUIRE_TOOLS=1 EVENFALL_REQUIRE_PAGE=1 $(GO) test -race -timeout 30m ./... ./testdata/plots/...
	EVENFALL_PLOTS=10000 $(GO) test -run TestInsetsAgreeWithTheLibrary ./geo/passes
	cd frontend && npm test && npm run browser

check:
	@unformatted="$$(gofmt -l $$(find . -name node_modules -prune -o -name "*.go" -print))"; \
	if [ -n "$$unformatted" ]; then echo "not gofmt-clean: $$unformatted"; exit 1; fi
	$(GO) vet ./... ./testdata/plots/...

# The Debian programs that tests compare with; installs what is missing.
tools:
	@sh .ci/packages

bench:
	$(GO) test -run '^$$' -bench . -benchmem -cpu 1 ./...

# The page's own figures: sizes, first paint, dragging, memory.
bench-page: build
	cd frontend && node scripts/bench-page.mjs

# The README's pictures, from the demo and the browser tests' screenshots.
pictures: build
	cd frontend && npm run browser -- screens
	sh .ci/pictures

# What the planner reaches on the sixty plots made for it.
evenness:
	$(GO) run ./geo/passes/evenness

# Every decoder, FUZZTIME each.
fuzz:
	@sh .ci/fuzz $(FUZZTIME)
