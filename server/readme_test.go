package main

import (
	"bytes"
	"context"
	"flag"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"evenfall/internal/installed"
)

var update = flag.Bool("update", false, "write what the README's examples print into the README")

const readme = "../README.md"

// readmeAddress is where the README's examples find the demo.
const readmeAddress = "127.0.0.1:8321"

// consoleBlock is a fenced example: lines that begin with "$ " are commands,
// the lines after each are what it prints.
var consoleBlock = regexp.MustCompile("(?ms)^```console\n(.*?)^```$")

// The README's examples are run, in order, in one folder with the demo served,
// and print what the README says. A line of "..." stands for any lines.
func TestReadmeExamples(t *testing.T) {
	for _, tool := range []string{"bash", "curl"} {
		installed.Program(t, tool)
	}
	text, err := os.ReadFile(readme)
	if err != nil {
		t.Fatal(err)
	}
	shell := newShell(t)
	count := 0
	told := consoleBlock.ReplaceAllFunc(text, func(block []byte) []byte {
		var out strings.Builder
		for _, example := range examplesIn(string(consoleBlock.FindSubmatch(block)[1])) {
			count++
			printed := shell.run(t, example.command)
			if !matches(example.prints, printed) && !*update {
				t.Errorf("$ %s\nprints\n%s\nand the README says\n%s", example.command, printed, example.prints)
			}
			out.WriteString("$ " + example.command + "\n" + shortened(printed, example.prints))
		}
		return []byte("```console\n" + out.String() + "```")
	})
	if count < 6 {
		t.Errorf("only %d examples were found", count)
	}
	if *update {
		if err := os.WriteFile(readme, told, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// example is one command with what it is said to print.
type example struct{ command, prints string }

func examplesIn(block string) []example {
	var all []example
	for line := range strings.Lines(block) {
		if command, ok := strings.CutPrefix(line, "$ "); ok {
			all = append(all, example{command: strings.TrimSuffix(command, "\n")})
		} else if strings.HasSuffix(strings.TrimSuffix(all[len(all)-1].command, "\n"), "\\") {
			all[len(all)-1].command += "\n" + strings.TrimSuffix(line, "\n")
		} else {
			all[len(all)-1].prints += line
		}
	}
	return all
}

// matches compares line by line; "..." stands for any lines.
func matches(want, got string) bool {
	head, tail, cut := strings.Cut(want, "...\n")
	if !cut {
		return want == got
	}
	return strings.HasPrefix(got, head) && strings.HasSuffix(got, tail) && len(got) >= len(head)+len(tail)
}

// shortened keeps the "..." of an example that has one: as many lines before
// and after as the example shows.
func shortened(got, shown string) string {
	head, tail, cut := strings.Cut(shown, "...\n")
	if !cut {
		return got
	}
	lines := strings.SplitAfter(got, "\n")
	before, after := strings.Count(head, "\n"), strings.Count(tail, "\n")
	if before+after >= len(lines)-1 {
		return got
	}
	return strings.Join(lines[:before], "") + "...\n" + strings.Join(lines[len(lines)-1-after:], "")
}

// shell runs commands in a folder of its own that has the program, the
// fixtures and a served demo.
type shell struct{ folder, address string }

func newShell(t *testing.T) shell {
	t.Helper()
	folder := t.TempDir()
	root, err := filepath.Abs("..")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(filepath.Join(root, "fixtures"), filepath.Join(folder, "fixtures")); err != nil {
		t.Fatal(err)
	}
	build := exec.Command("go", "build", "-o", filepath.Join(folder, "bin", "evenfall"), ".")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	return shell{folder, serveDemo(t, folder)}
}

// serveDemo runs the server on a free port until the test ends and returns its
// address. The clock is that of the examples.
func serveDemo(t *testing.T, folder string) string {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	told, say := io.Pipe()
	c := &console{in: strings.NewReader(""), out: say, err: io.Discard, now: func() time.Time {
		return time.Date(2026, 8, 29, 7, 30, 0, 0, time.UTC)
	}}
	ended := make(chan int, 1)
	go func() {
		ended <- run(ctx, []string{"serve", "--demo", "--data", filepath.Join(folder, "demo.db"), "--listen", "127.0.0.1:0"}, c)
	}()
	t.Cleanup(func() {
		stop()
		if code := <-ended; code != exitDone {
			t.Errorf("the server ended with %d", code)
		}
	})
	line := make([]byte, 256)
	n, err := told.Read(line)
	if err != nil {
		t.Fatal(err)
	}
	address := regexp.MustCompile(`127\.0\.0\.1:\d+`).FindString(string(line[:n]))
	if address == "" {
		t.Fatalf("the server does not say where it is: %s", line[:n])
	}
	return address
}

func (s shell) run(t *testing.T, command string) string {
	t.Helper()
	cmd := exec.Command("bash", "-c", strings.ReplaceAll(command, readmeAddress, s.address))
	cmd.Dir = s.folder
	cmd.Env = append(os.Environ(), "PATH="+filepath.Join(s.folder, "bin")+":"+os.Getenv("PATH"))
	var out bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &out
	if err := cmd.Run(); err != nil {
		t.Errorf("$ %s\n%v", command, err)
	}
	return strings.ReplaceAll(out.String(), s.address, readmeAddress)
}
