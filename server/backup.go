package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"evenfall/geo/fault"
	"evenfall/server/store"
)

// backupCommand copies the database, also while a server is using it.
type backupCommand struct {
	File string `arg:"" help:"New file for the copy; a file that is there already is never overwritten." type:"path"`
	Data string `help:"Database file; the one in your data folder if left out." placeholder:"FILE" type:"path"`
	Demo bool   `help:"The database of the demo."`
}

// Run writes the copy. Opening the store would make a database where there is
// none, and an empty backup would look like a good one.
func (a backupCommand) Run(ctx context.Context, c *console) (failed error) {
	path, err := serveCommand{Data: a.Data, Demo: a.Demo}.database()
	if err != nil {
		return err
	}
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return fault.New("no_database", "there is no database at "+path, "name it with --data").Of(fault.Missing)
	}
	db, err := store.Open(ctx, path, c.now)
	if err != nil {
		return err
	}
	defer func() { failed = errors.Join(failed, db.Close()) }()
	if err := db.Backup(ctx, a.File); err != nil {
		return err
	}
	fmt.Fprintf(c.out, "Copied %s to %s. To go back to it, serve a copy of it with --data.\n", path, a.File)
	return nil
}
