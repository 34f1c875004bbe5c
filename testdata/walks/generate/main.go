// Command generate writes the committed walks and what they should come to
// into the folder given (by default testdata/walks). Same program, same bytes:
//
//	go run ./testdata/walks/generate
package main

import (
	"log"
	"os"
	"path/filepath"

	"evenfall/testdata/walks/strolls"
)

func main() {
	log.SetFlags(0)
	folder := "testdata/walks"
	if len(os.Args) > 1 {
		folder = os.Args[1]
	}
	files, err := strolls.Files()
	if err != nil {
		log.Fatal(err)
	}
	for _, f := range files {
		if err := os.WriteFile(filepath.Join(folder, f.Name), f.Text, 0o644); err != nil {
			log.Fatal(err)
		}
	}
}
