// Package evenfall_test checks the one rule of the house: which folder may
// import which.
package evenfall_test

import (
	"encoding/json"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// listed is the part of `go list -json` that the rule needs.
type listed struct {
	ImportPath string
	Imports    []string
	Name       string
}

// allowed maps a folder to the folders of this module that it may import.
var allowed = map[string][]string{
	"geo":      {"geo"},
	"agronomy": {"geo", "agronomy"},
	"frontend": {"geo", "agronomy", "frontend"},
	"server":   {"geo", "agronomy", "frontend", "fixtures", "server"},
	"fixtures": {},
	"internal": {}, // for tests alone
	"testdata": {"geo", "agronomy", "testdata"},
}

// impure are packages that would let I/O, a clock or a database into the pure
// folders; time is not among them because durations and parsing are pure.
var impure = []string{
	"os", "net", "net/http", "database/sql", "os/exec", "syscall",
	"github.com/labstack/echo", "modernc.org/sqlite", "log", "log/slog",
}

func packages(t *testing.T) []listed {
	t.Helper()
	out, err := exec.Command("go", "list", "-json=ImportPath,Name,Imports", "./...").Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var all []listed
	for decoder := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p listed
		if err := decoder.Decode(&p); err == io.EOF {
			return all
		} else if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
}

// folder is the top-level folder of a package of this module, or "".
func folder(path string) string {
	rest, ours := strings.CutPrefix(path, "evenfall/")
	if !ours {
		return ""
	}
	top, _, _ := strings.Cut(rest, "/")
	return top
}

func TestImportsGoOneWay(t *testing.T) {
	seen := 0
	for _, p := range packages(t) {
		from := folder(p.ImportPath)
		if from == "" {
			continue
		}
		seen++
		for _, path := range p.Imports {
			if to := folder(path); to != "" && !slices.Contains(allowed[from], to) {
				t.Errorf("%s imports %s: %s may import only %v", p.ImportPath, path, from, allowed[from])
			}
		}
	}
	if seen < 10 {
		t.Fatalf("looked at only %d packages; the rule was not checked", seen)
	}
}

func TestPureFoldersStayPure(t *testing.T) {
	for _, p := range packages(t) {
		if top := folder(p.ImportPath); top != "geo" && top != "agronomy" || isProgram(p) {
			continue
		}
		for _, path := range p.Imports {
			for _, bad := range impure {
				if path == bad || strings.HasPrefix(path, bad+"/") {
					t.Errorf("%s imports %s", p.ImportPath, path)
				}
			}
		}
	}
}

// isProgram tells the generators and reports that live beside pure packages.
func isProgram(p listed) bool { return p.Name == "main" }

// The pure folders are handed the date; a clock read there would make the same
// inputs give different sheets.
func TestPureFoldersReadNoClock(t *testing.T) {
	read := 0
	for _, top := range []string{"geo", "agronomy"} {
		err := filepath.WalkDir(top, func(path string, _ fs.DirEntry, err error) error {
			if err != nil || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			source, err := os.ReadFile(path)
			read++
			if strings.Contains(string(source), "time.Now(") && !strings.Contains(string(source), "package main\n") {
				t.Errorf("%s reads the clock", path)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if read == 0 {
		t.Fatal("no source was read")
	}
}
