#!/bin/sh
# Builds the page into frontend/dist: the packages, the core, the types, the
# bundle, the brotli copies. Each step is skipped while what it is made of is
# unchanged; FORCE=1 does all of them. Runs from any folder.
#   build.sh [packages|core|types|page ...]   all of them by default
set -eu

cd "$(dirname "$0")/.."
GO=${GO:-go}
stamps=.stamps
mkdir -p "$stamps"

# One build at a time: two would write the same files.
if command -v flock >/dev/null; then
	exec 9>"$stamps/lock"
	flock 9
fi

# fresh NAME FILE...: whether NAME was made from these very files.
fresh() {
	name=$1; shift
	print=$(cat "$@" | sha256sum)
	[ -z "${FORCE:-}" ] && [ "$(cat "$stamps/$name" 2>/dev/null)" = "$print" ]
}

done_with() { echo "$print" >"$stamps/$1"; }

# The Go files, of this module and without tests, that a package is made of.
go_files() {
	$GO list -deps -f '{{if and .Module .Module.Main}}{{$d := .Dir}}{{range .GoFiles}}{{$d}}/{{.}}
{{end}}{{range .EmbedFiles}}{{$d}}/{{.}}
{{end}}{{end}}' "$@"
}

packages() {
	[ -d node_modules ] || rm -f "$stamps/packages"
	fresh packages package.json package-lock.json && return
	npm ci --no-audit --no-fund
	done_with packages
}

# Inlining trades size for speed. It is left out where nothing is hurried: that
# saves a tenth of the core, and costs the search a twentieth.
unhurried='-gcflags=github.com/peterstace/...=-l -gcflags=encoding/...=-l -gcflags=time=-l -gcflags=reflect=-l -gcflags=evenfall/agronomy/...=-l'

# wasm NAME PACKAGE FLAG...
wasm() {
	name=$1; package=$2; shift 2
	GOOS=js GOARCH=wasm $GO build -trimpath -ldflags '-s -w' "$@" -o "core/$name.unpacked" "$package"
	node scripts/pack-wasm.mjs "core/$name.unpacked" "core/$name.wasm"
	rm "core/$name.unpacked"
}

# The core, and apart from it the reader of files, which few visits need.
core() {
	glue=$($GO env GOROOT)/lib/wasm/wasm_exec.js
	files=$(GOOS=js GOARCH=wasm go_files ./core ./core/reader)
	[ -f core/evenfall.wasm ] && [ -f core/reader.wasm ] && [ -f src/core/wasm_exec.js ] || rm -f "$stamps/core"
	# shellcheck disable=SC2086
	fresh core $files ../go.mod ../go.sum "$glue" scripts/build.sh scripts/pack-wasm.mjs && return
	# shellcheck disable=SC2086
	wasm evenfall ./core $unhurried
	wasm reader ./core/reader -gcflags=all=-l
	cp "$glue" src/core/wasm_exec.js
	done_with core
}

types() {
	folders=$(sed -n 's/^ *- path: evenfall//p' ../tygo.yaml)
	files=$(for folder in $folders; do ls "..$folder"/*.go; done)
	[ -f src/generated/agronomy.ts ] || rm -f "$stamps/types"
	# shellcheck disable=SC2086
	fresh types $files ../tygo.yaml scripts/tidy-types.mjs && return
	rm -rf src/generated
	(cd .. && $GO tool tygo generate)
	node scripts/tidy-types.mjs
	done_with types
}

page() {
	files=$(find src public index.html package-lock.json ./*.ts ./*.js ./*.json scripts/compress.mjs -type f | sort)
	[ -f dist/index.html ] || rm -f "$stamps/page"
	# shellcheck disable=SC2086
	fresh page $files core/evenfall.wasm core/reader.wasm && return
	npx --no-install svelte-check --tsconfig ./tsconfig.json --fail-on-warnings --output human
	npx --no-install vite build
	node scripts/compress.mjs
	done_with page
}

for step in ${*:-packages core types page}; do
	"$step"
done
