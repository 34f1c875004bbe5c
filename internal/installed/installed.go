// Package installed finds the outside programs that tests compare with.
package installed

import (
	"os"
	"os/exec"
	"testing"
)

// Program is the path of a program. Without it the test is skipped, or fails
// where EVENFALL_REQUIRE_TOOLS=1 says that it must be there.
func Program(t testing.TB, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		if os.Getenv("EVENFALL_REQUIRE_TOOLS") == "1" {
			t.Fatalf("%s is not installed and EVENFALL_REQUIRE_TOOLS=1", name)
		}
		t.Skipf("%s is not installed", name)
	}
	return path
}
