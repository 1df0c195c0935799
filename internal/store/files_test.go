package store

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"
)

func TestOpenRefusals(t *testing.T) {
	ctx, dir := t.Context(), t.TempDir()
	text := filepath.Join(dir, "text.logbook")
	must(t, os.WriteFile(text, bytes.Repeat([]byte("not a database "), 200), 0o644))
	other := filepath.Join(dir, "other.db")
	db := openDB(other, false, Options{}, false)
	_, err := db.Exec("CREATE TABLE x (y)")
	must(t, err)
	db.Close()
	for _, p := range []string{text, other, dir} {
		var no *NotLogbook
		if _, err := Open(ctx, p, options()); !errors.As(err, &no) {
			t.Errorf("%s: %v", p, err)
		}
	}
	if got, _ := os.ReadFile(text); len(got) != 3000 {
		t.Error("a refused file was changed")
	}
	o := options()
	o.ReadOnly = true
	if _, err := Open(ctx, filepath.Join(dir, "none"), o); !errors.Is(err, ErrNotFound) {
		t.Errorf("%v", err)
	}
	if _, err := Open(ctx, "", options()); err == nil {
		t.Error("an empty path")
	}
	// Odd characters in the path.
	odd := filepath.Join(dir, "a?b#c %41 ä", "x&y=z.logbook")
	b := open(t, odd, options())
	putLamp(t, b, "a")
	if _, err := os.Stat(odd); err != nil {
		t.Error(err)
	}
}

// forms makes a program that knows n forms.
func forms(t *testing.T, n int) fs.FS {
	t.Helper()
	first, err := builtIn.ReadFile("migrations/0001_logbook.sql")
	must(t, err)
	m := fstest.MapFS{"0001_logbook.sql": {Data: first}}
	if n >= 2 {
		m["0002_colour.sql"] = &fstest.MapFile{Data: []byte("ALTER TABLE lamp ADD COLUMN colour TEXT NOT NULL DEFAULT 'white';")}
	}
	if n >= 3 {
		m["0003_broken.sql"] = &fstest.MapFile{Data: []byte("CREATE TABLE half (x TEXT) STRICT; ALTER TABLE nowhere ADD COLUMN x TEXT;")}
	}
	return m
}

func TestMigrations(t *testing.T) {
	ctx := t.Context()
	path := filepath.Join(t.TempDir(), "l.logbook")
	o := options()
	o.forms = forms(t, 1)
	b := open(t, path, o)
	putLamp(t, b, "oulu")
	must(t, b.AddRun(ctx, luxRun("r", "oulu", 1)))
	must(t, b.Close())

	// A reader of the next form refuses to change an old file.
	o.forms, o.ReadOnly = forms(t, 2), true
	if _, err := Open(ctx, path, o); !errors.Is(err, ErrReadOnly) {
		t.Errorf("%v", err)
	}
	o.ReadOnly = false
	b = open(t, path, o)
	if b.Form() != 2 {
		t.Errorf("form %d", b.Form())
	}
	var colour string
	must(t, b.read.QueryRow("SELECT colour FROM lamp").Scan(&colour))
	raw, err := b.Raw(ctx, "r")
	if err != nil || colour != "white" || len(raw) != 1 {
		t.Errorf("%q %v %v", colour, raw, err)
	}
	must(t, b.Close())
	// The copy from before opens with the old program.
	o.forms = forms(t, 1)
	old := open(t, path+".form-1", o)
	if l, err := old.Lamp(ctx, "oulu", 0); err != nil || l.Name == "" {
		t.Errorf("%v", err)
	}
	// The old program refuses the new file kindly and leaves it alone.
	before, _ := os.ReadFile(path)
	var newer *Newer
	if _, err := Open(ctx, path, o); !errors.As(err, &newer) || newer.Found != 2 || newer.Known != 1 {
		t.Errorf("%v", err)
	}
	if after, _ := os.ReadFile(path); !bytes.Equal(before, after) {
		t.Error("a refused file was changed")
	}
	// A step that fails leaves the form before it.
	o.forms = forms(t, 3)
	if _, err := Open(ctx, path, o); err == nil || !strings.Contains(err.Error(), "0003_broken") {
		t.Errorf("%v", err)
	}
	o.forms = forms(t, 2)
	b = open(t, path, o)
	if b.Form() != 2 {
		t.Errorf("form %d after a failed step", b.Form())
	}
	if err := b.read.QueryRow("SELECT count(*) FROM half").Scan(new(int)); err == nil {
		t.Error("half a step was kept")
	}
	if _, err := os.Stat(path + ".form-2"); err != nil {
		t.Error("no copy was kept before the step that failed")
	}
}

func TestMigrationNames(t *testing.T) {
	for _, name := range []string{"0002_gap.sql", "1_short.sql", "0001-dash.sql"} {
		if _, err := migrations(fstest.MapFS{name: {}}); err == nil {
			t.Errorf("%s taken", name)
		}
	}
	if n, err := lastForm(nil); err != nil || n < 1 {
		t.Errorf("%d %v", n, err)
	}
}

func TestBackupAndRestore(t *testing.T) {
	ctx := t.Context()
	b := fresh(t)
	putLamp(t, b, "oulu")
	must(t, b.AddRun(ctx, luxRun("r-1", "oulu", 1)))
	to := filepath.Join(t.TempDir(), "copy.logbook")
	must(t, b.Backup(ctx, to))
	if err := b.Backup(ctx, to); !errors.Is(err, ErrExists) {
		t.Errorf("%v", err)
	}
	must(t, b.AddRun(ctx, luxRun("r-2", "oulu", 2)))
	// Open elsewhere: refused.
	if _, err := Restore(ctx, to, b.Path(), options()); !errors.Is(err, ErrBusy) {
		t.Errorf("restored under an open logbook: %v", err)
	}
	must(t, b.Close())
	kept, err := Restore(ctx, to, b.Path(), options())
	must(t, err)
	back := open(t, b.Path(), options())
	if ks, _ := back.Runs(ctx, RunFilter{}); len(ks) != 1 || ks[0].Name != "r-1" {
		t.Errorf("%+v", ks)
	}
	old := open(t, kept, options())
	if ks, _ := old.Runs(ctx, RunFilter{}); len(ks) != 2 {
		t.Errorf("the replaced logbook has %d runs", len(ks))
	}
	h, err := back.Verify(ctx)
	if err != nil || !h.Sound() || h.Runs != 1 || h.RawFiles != 1 {
		t.Errorf("%v %v", h, err)
	}
	// A spoilt backup is refused and nothing is replaced.
	data, _ := os.ReadFile(to)
	i := bytes.Index(data, []byte("lux;1"))
	data[i+4] = '9'
	spoilt := filepath.Join(t.TempDir(), "spoilt.logbook")
	must(t, os.WriteFile(spoilt, data, 0o644))
	must(t, back.Close())
	var damaged *Damaged
	if _, err := Restore(ctx, spoilt, b.Path(), options()); !errors.As(err, &damaged) {
		t.Errorf("%v", err)
	}
	// To a place where nothing is.
	if kept, err := Restore(ctx, to, filepath.Join(t.TempDir(), "new", "x.logbook"), options()); err != nil || kept != "" {
		t.Errorf("%q %v", kept, err)
	}
}

func TestDamagedFilesAreTold(t *testing.T) {
	ctx := t.Context()
	b := fresh(t)
	putLamp(t, b, "oulu")
	for i := range 30 {
		must(t, b.AddRun(ctx, luxRun(fmt.Sprint("r-", i), "oulu", float64(i))))
	}
	must(t, b.Close())
	data, _ := os.ReadFile(b.Path())
	for i := 8192; i < len(data)-4096; i += 4096 {
		copy(data[i:], bytes.Repeat([]byte{0x5a}, 64))
	}
	must(t, os.WriteFile(b.Path(), data, 0o644))
	c, err := Open(ctx, b.Path(), options())
	if err == nil {
		defer c.Close()
		var h Health
		h, err = c.Verify(ctx)
		if err == nil && h.Sound() {
			t.Error("a file with every other page overwritten is called whole")
		}
		return
	}
	var damaged *Damaged
	if !errors.As(err, &damaged) {
		t.Errorf("%v", err)
	}
}

// A disk with no room: the step fails as a whole, is told as full, and the
// logbook goes on once there is room.
func TestFullDisk(t *testing.T) {
	ctx := t.Context()
	path := filepath.Join(t.TempDir(), "l.logbook")
	b := open(t, path, options())
	putLamp(t, b, "oulu")
	var pages int
	must(t, b.read.QueryRow("PRAGMA page_count").Scan(&pages))
	must(t, b.Close())
	o := options()
	o.maxPages = pages + 20
	b = open(t, path, o)
	kept := 0
	var err error
	for i := 0; i < 100 && err == nil; i++ {
		n := luxRun(fmt.Sprint("r-", i), "oulu", float64(i))
		n.Raw[0].Bytes = bytes.Repeat([]byte{byte(i)}, 10000)
		if err = b.AddRun(ctx, n); err == nil {
			kept++
		}
	}
	if !errors.Is(err, ErrFull) || kept == 0 {
		t.Fatalf("%d kept, then %v", kept, err)
	}
	if ks, _ := b.Runs(ctx, RunFilter{}); len(ks) != kept {
		t.Errorf("%d runs listed, %d acknowledged", len(ks), kept)
	}
	must(t, b.Close())
	b = open(t, path, options())
	h, err := b.Verify(ctx)
	if err != nil || !h.Sound() || h.Runs != kept {
		t.Errorf("%v %v", h, err)
	}
	must(t, b.AddRun(ctx, luxRun("after", "oulu", 1)))
}

func TestReadOnly(t *testing.T) {
	ctx := t.Context()
	dir := t.TempDir()
	path := filepath.Join(dir, "l.logbook")
	b := open(t, path, options())
	putLamp(t, b, "oulu")
	must(t, b.Close())
	o := options()
	o.ReadOnly = true
	b = open(t, path, o)
	if l, err := b.Lamp(ctx, "oulu", 0); err != nil || l.Name == "" {
		t.Errorf("%v", err)
	}
	if _, err := b.PutLamp(ctx, Lamp{Slug: "x", Name: "x"}); !errors.Is(err, ErrReadOnly) {
		t.Errorf("%v", err)
	}
	must(t, b.Backup(ctx, filepath.Join(t.TempDir(), "copy")))
	must(t, b.Close())
	if os.Geteuid() == 0 {
		t.Log("rights do not bind this user: the folder without rights is not tried")
		return
	}
	must(t, os.Chmod(path, 0o444))
	must(t, os.Chmod(dir, 0o555))
	defer os.Chmod(dir, 0o755)
	if _, err := Open(ctx, path, options()); !errors.Is(err, ErrReadOnly) {
		t.Errorf("%v", err)
	}
	b = open(t, path, o)
	if _, err := b.Lamp(ctx, "oulu", 0); err != nil {
		t.Error(err)
	}
}

// Two programs, here two pools on one file, write at the same time: every
// write arrives and none fails.
func TestTwoWriters(t *testing.T) {
	ctx := t.Context()
	a := fresh(t)
	putLamp(t, a, "oulu")
	b := open(t, a.Path(), options())
	var wg sync.WaitGroup
	for i, book := range []*Book{a, b} {
		wg.Go(func() {
			for j := range 25 {
				if err := book.AddRun(ctx, luxRun(fmt.Sprintf("%d-%d", i, j), "oulu", float64(100*i+j))); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wg.Wait()
	for _, book := range []*Book{a, b} {
		if ks, err := book.Runs(ctx, RunFilter{}); err != nil || len(ks) != 50 {
			t.Errorf("%d runs, %v", len(ks), err)
		}
	}
	// One that holds the lock too long is told to the other as busy.
	o := options()
	o.Wait = 50 * time.Millisecond
	c := open(t, a.Path(), o)
	tx, err := a.write.BeginTx(ctx, nil)
	must(t, err)
	defer tx.Rollback()
	if _, err := c.PutLamp(ctx, Lamp{Slug: "x", Name: "x"}); !errors.Is(err, ErrBusy) {
		t.Errorf("%v", err)
	}
	stop, cancel := context.WithCancel(ctx)
	cancel()
	if _, err := c.PutLamp(stop, Lamp{Slug: "x", Name: "x"}); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
}

// What the file promises to SQLite: write-ahead, full synchronisation, links
// checked.
func TestPragmas(t *testing.T) {
	b := fresh(t)
	for _, c := range []struct {
		db     *sql.DB
		pragma string
		want   string
	}{{b.write, "journal_mode", "wal"}, {b.write, "synchronous", "2"}, {b.write, "foreign_keys", "1"}, {b.read, "query_only", "1"}, {b.read, "application_id", fmt.Sprint(applicationID)}, {b.write, "busy_timeout", "5000"}} {
		var got string
		must(t, c.db.QueryRow("PRAGMA "+c.pragma).Scan(&got))
		if got != c.want {
			t.Errorf("%s is %s, want %s", c.pragma, got, c.want)
		}
	}
	var loose int
	must(t, b.read.QueryRow("SELECT count(*) FROM pragma_table_list WHERE type = 'table' AND schema = 'main' AND NOT strict AND name NOT LIKE 'sqlite_%'").Scan(&loose))
	if loose > 0 {
		t.Errorf("%d tables are not strict", loose)
	}
}
