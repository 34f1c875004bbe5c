package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"evenfall/server/record"
	"evenfall/server/store"
)

func TestBackupCopiesTheDatabase(t *testing.T) {
	folder := t.TempDir()
	data, copied := filepath.Join(folder, "records.db"), filepath.Join(folder, "copy.db")
	db, err := store.Open(t.Context(), data, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close() // a server has it open all the while
	land, err := db.Properties().Create(t.Context(), record.Property{Name: "Fox Hollow"})
	if err != nil {
		t.Fatal(err)
	}

	if got := evenfall(t, "", "backup", copied, "--data", data); got.code != exitDone || got.err != "" || !strings.Contains(got.out, copied) {
		t.Fatalf("%+v", got)
	}
	again, err := store.Open(t.Context(), copied, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	if got, err := again.Properties().Get(t.Context(), land.ID); err != nil || got != land {
		t.Errorf("the copy has %+v, %v", got, err)
	}
}

func TestBackupRefuses(t *testing.T) {
	folder := t.TempDir()
	data, other := filepath.Join(folder, "records.db"), filepath.Join(folder, "notes.txt")
	db, err := store.Open(t.Context(), data, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(other, []byte("not to be lost"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		name  string
		words []string
		code  int
		err   string
	}{
		{"no file", []string{"backup"}, exitUsage, "<file>"},
		{"a file that is there", []string{"backup", other, "--data", data}, exitFailed, "is there already"},
		{"no database", []string{"backup", filepath.Join(folder, "new.db"), "--data", filepath.Join(folder, "gone.db")}, exitFailed, "--data"},
		{"another program's file", []string{"backup", filepath.Join(folder, "new.db"), "--data", other}, exitFailed, "database"},
		{"no such folder", []string{"backup", filepath.Join(folder, "gone", "new.db"), "--data", data}, exitFailed, "backup"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got := evenfall(t, "", tt.words...)
			if got.code != tt.code || !strings.Contains(got.err, tt.err) || got.out != "" {
				t.Errorf("%+v", got)
			}
		})
	}
	if text, err := os.ReadFile(other); err != nil || string(text) != "not to be lost" {
		t.Errorf("the file that was there holds %q, %v", text, err)
	}
	left, err := os.ReadDir(folder)
	if err != nil || len(left) != 2 {
		t.Errorf("something is left behind: %v, %v", left, err)
	}
}
