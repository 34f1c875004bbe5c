package store

import (
	"errors"

	"modernc.org/sqlite"
	lib "modernc.org/sqlite/lib"
)

// isForeignKey is true for a reference that leads nowhere and, since SQLite
// works ON DELETE RESTRICT with a trigger, for a record still referred to.
func isForeignKey(err error) bool {
	return hasCode(err, lib.SQLITE_CONSTRAINT_FOREIGNKEY) || hasCode(err, lib.SQLITE_CONSTRAINT_TRIGGER)
}

// isTaken is true for a second record of one id.
func isTaken(err error) bool {
	return hasCode(err, lib.SQLITE_CONSTRAINT_PRIMARYKEY) || hasCode(err, lib.SQLITE_CONSTRAINT_UNIQUE)
}

func isNotADatabase(err error) bool { return hasCode(err, lib.SQLITE_NOTADB) }

func cannotOpen(err error) bool { return hasCode(err, lib.SQLITE_CANTOPEN) }

func hasCode(err error, code int) bool {
	var found *sqlite.Error
	return errors.As(err, &found) && found.Code() == code
}
