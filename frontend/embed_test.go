package frontend_test

import (
	"errors"
	"io/fs"
	"os"
	"testing"

	"evenfall/frontend"
)

// EVENFALL_REQUIRE_PAGE is set where a release is made: there an empty page is
// a failure.
func TestThePageIsThereOrSaidToBeMissing(t *testing.T) {
	pages, err := frontend.Pages()
	if errors.Is(err, frontend.ErrNotBuilt) {
		if os.Getenv("EVENFALL_REQUIRE_PAGE") != "" {
			t.Fatal(err)
		}
		return
	}
	if err != nil {
		t.Fatal(err)
	}
	if cores, err := fs.Glob(pages, "assets/evenfall-*.wasm.br"); err != nil || len(cores) != 1 {
		t.Errorf("the built page has the compressed cores %v, want one; %v", cores, err)
	}
}
