package store_test

import (
	"bufio"
	"context"
	"database/sql"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"evenfall/geo/fault"
	"evenfall/server/record"
	"evenfall/server/store"
	"evenfall/server/store/storetest"
)

// writerVariable names the file for a child process that only writes.
const writerVariable = "EVENFALL_TEST_WRITER"

// batch is how many plots the child writes in one transaction.
const batch = 25

func TestMain(m *testing.M) {
	if path := os.Getenv(writerVariable); path != "" {
		writeForever(path)
	}
	os.Exit(m.Run())
}

// writeForever writes batches of plots until it is killed, and says each time
// that one is committed.
func writeForever(path string) {
	ctx := context.Background()
	db, err := store.Open(ctx, path, time.Now)
	if err != nil {
		panic(err)
	}
	land, err := db.Properties().Create(ctx, record.Property{Name: "Fox Hollow"})
	if err != nil {
		panic(err)
	}
	for {
		if _, err := db.Plots().CreateAll(ctx, manyPlots(land.ID, batch)); err != nil {
			panic(err)
		}
		fmt.Println("committed")
	}
}

func TestAKilledWriterLeavesWholeBatches(t *testing.T) {
	path := filepath.Join(t.TempDir(), "records.db")
	for kill := range 4 {
		before := 0
		if kill > 0 {
			before = storetest.Count(t, path, "plots")
		}
		said := writeAndKill(t, path, time.Duration(kill)*3*time.Millisecond)
		db := must[*store.DB](t)(store.Open(t.Context(), path, ticking()))
		plots, surveys := storetest.Count(t, path, "plots"), storetest.Count(t, path, "surveys")
		if plots%batch != 0 || surveys != plots {
			t.Errorf("%d plots and %d surveys are kept: something is half-saved", plots, surveys)
		}
		if plots-before < said*batch {
			t.Errorf("%d plots are kept though %d batches were committed", plots-before, said)
		}
		if found := storetest.Complaints(t, path); len(found) > 0 {
			t.Error(found)
		}
		if err := db.Close(); err != nil {
			t.Error(err)
		}
	}
}

// writeAndKill kills a writing child a moment after its third commit, and says
// how many commits it had reported.
func writeAndKill(t *testing.T, path string, moment time.Duration) (said int) {
	t.Helper()
	child := exec.CommandContext(t.Context(), os.Args[0])
	child.Env = append(os.Environ(), writerVariable+"="+path)
	var complaint strings.Builder
	child.Stderr = &complaint
	out, err := child.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := child.Start(); err != nil {
		t.Fatal(err)
	}
	for lines := bufio.NewScanner(out); lines.Scan(); {
		if said++; said == 3 {
			time.Sleep(moment) // so that the blow falls at different places in the next batch
			if err := child.Process.Kill(); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := child.Wait(); said < 3 {
		t.Fatalf("the writer ended by itself: %v\n%s", err, complaint.String())
	}
	return said
}

func TestReadersNeverSeeHalfAWrite(t *testing.T) {
	db, _ := open(t)
	land := property(t, db).ID
	const batches, watchers = 12, 8
	done := make(chan struct{})
	var watching sync.WaitGroup
	for range watchers {
		watching.Go(func() {
			for {
				page, err := db.Plots().List(t.Context(), record.Query{PropertyID: land, Limit: 1})
				if err != nil || page.Total%5 != 0 {
					t.Errorf("a reader saw %d plots, %v", page.Total, err)
					return
				}
				select {
				case <-done:
					return
				default:
				}
			}
		})
	}
	for range batches {
		must[[]record.Plot](t)(db.Plots().CreateAll(t.Context(), manyPlots(land, 5)))
	}
	close(done)
	watching.Wait()
}

// Every writer reads, adds one word and writes back, and begins again when
// someone else was faster: no word may be lost.
func TestNoUpdateIsLostBetweenWriters(t *testing.T) {
	db, _ := open(t)
	made := property(t, db)
	const writers, each = 6, 10
	var writing sync.WaitGroup
	for range writers {
		writing.Go(func() {
			for range each {
				addWord(t, db, made.ID)
			}
		})
	}
	writing.Wait()
	got := must[record.Property](t)(db.Properties().Get(t.Context(), made.ID))
	if n := strings.Count(got.Note, " word"); n != writers*each || got.Revision != writers*each+1 {
		t.Errorf("%d words and revision %d, want %d words", n, got.Revision, writers*each)
	}
}

func addWord(t *testing.T, db record.Store, id string) {
	for {
		p, err := db.Properties().Get(t.Context(), id)
		if err != nil {
			t.Error(err)
			return
		}
		p.Note += " word"
		if _, err = db.Properties().Update(t.Context(), p); err == nil {
			return
		}
		if found, ok := fault.From(err); !ok || found.Kind != fault.Conflict {
			t.Error(err)
			return
		}
	}
}

func TestABackupIsWholeAndNeverOverwrites(t *testing.T) {
	db, path := open(t)
	plotWithSurvey(t, db)
	copied := filepath.Join(t.TempDir(), "backup.db")
	if err := db.Backup(t.Context(), copied); err != nil {
		t.Fatal(err)
	}
	if storetest.Dump(t, copied) != storetest.Dump(t, path) {
		t.Error("the backup differs")
	}
	wantFault(t, db.Backup(t.Context(), copied), fault.Refused, "backup_exists")
	restored := must[*store.DB](t)(store.Open(t.Context(), copied, ticking()))
	defer restored.Close()
	if page := must[record.Page[record.Plot]](t)(restored.Plots().List(t.Context(), record.Query{})); page.Total != 1 {
		t.Errorf("%d plots in the backup", page.Total)
	}
	left, err := os.ReadDir(filepath.Dir(copied))
	if err != nil {
		t.Fatal(err)
	}
	for _, entry := range left {
		if !strings.HasPrefix(entry.Name(), "backup.db") {
			t.Errorf("%s is left over", entry.Name())
		}
	}
}

func TestForeignFilesAreRefusedUntouched(t *testing.T) {
	run := func(path string, statements ...string) {
		db := must[*sql.DB](t)(sql.Open("sqlite", "file:"+path))
		defer db.Close()
		for _, statement := range statements {
			if _, err := db.Exec(statement); err != nil {
				t.Fatal(err)
			}
		}
	}
	folder := t.TempDir()
	text, other, newer := filepath.Join(folder, "a.txt"), filepath.Join(folder, "b.db"), filepath.Join(folder, "c.db")
	if err := os.WriteFile(text, []byte(strings.Repeat("not a database at all\n", 500)), 0o600); err != nil {
		t.Fatal(err)
	}
	run(other, "CREATE TABLE theirs (x)")
	if err := must[*store.DB](t)(store.Open(t.Context(), newer, ticking())).Close(); err != nil {
		t.Fatal(err)
	}
	run(newer, "INSERT INTO schema_version VALUES (9999, '2099-01-01T00:00:00.000Z')")
	tests := []struct {
		path, code string
		kind       fault.Kind
	}{
		{text, "not_a_database", fault.Unread},
		{other, "foreign_database", fault.Refused},
		{newer, "newer_database", fault.Refused},
		{folder, "cannot_open", fault.Refused},
	}
	for _, tt := range tests {
		_, err := store.Open(t.Context(), tt.path, ticking())
		wantFault(t, err, tt.kind, tt.code)
	}
	if n := storetest.Count(t, other, "sqlite_schema"); n != 1 {
		t.Errorf("another program's database has %d things in it now", n)
	}
}

func TestOpeningAgainKeepsEverything(t *testing.T) {
	path := filepath.Join(t.TempDir(), "deep", "folder", "records.db")
	db := must[*store.DB](t)(store.Open(t.Context(), path, ticking()))
	made := property(t, db)
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	db = must[*store.DB](t)(store.Open(t.Context(), path, ticking()))
	defer db.Close()
	if got := must[record.Property](t)(db.Properties().Get(t.Context(), made.ID)); got != made {
		t.Errorf("got %+v, want %+v", got, made)
	}
}
