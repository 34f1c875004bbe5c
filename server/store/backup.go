package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"evenfall/geo/fault"
)

// Backup writes a whole and consistent copy to a new file at path, while reads
// and writes go on. The copy appears under its name only when it is complete;
// an existing file is never overwritten.
func (db *DB) Backup(ctx context.Context, path string) error {
	if _, err := os.Lstat(path); err == nil {
		return fault.New("backup_exists", path+" is there already", "name a new file").Of(fault.Refused)
	}
	part, err := os.MkdirTemp(filepath.Dir(path), ".evenfall-backup-")
	if err != nil {
		return fmt.Errorf("making room for the backup: %w", err)
	}
	defer os.RemoveAll(part)
	copied := filepath.Join(part, "copy.db")
	if err := db.copyTo(ctx, copied); err != nil {
		return fmt.Errorf("writing the backup: %w", err)
	}
	if err := flush(copied); err != nil {
		return err
	}
	if err := os.Rename(copied, path); err != nil {
		return fmt.Errorf("naming the backup: %w", err)
	}
	return nil
}

// copyTo uses a connection of its own: the writer's would hold up writes, and
// the readers' may not even write to another file.
func (db *DB) copyTo(ctx context.Context, path string) error {
	own, err := sql.Open("sqlite", address(db.path, ""))
	if err != nil {
		return err
	}
	_, err = own.ExecContext(ctx, `VACUUM INTO ?`, path)
	return errors.Join(err, own.Close())
}

// flush makes the file's bytes outlast a power cut.
func flush(path string) error {
	file, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return fmt.Errorf("opening the backup: %w", err)
	}
	return errors.Join(file.Sync(), file.Close())
}
