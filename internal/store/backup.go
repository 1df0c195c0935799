package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// copyTo writes a complete copy of the logbook to a path where nothing is yet;
// it is on the disk when it returns.
func (b *Book) copyTo(ctx context.Context, to string) error {
	db := b.write
	if b.readOnly {
		// Readers' connections may not write anywhere, not even a copy.
		db = openDB(b.path, true, Options{}, false, b.extra...)
		defer db.Close()
	}
	part := to + ".part"
	os.Remove(part)
	// VACUUM INTO takes a consistent picture while others write.
	if _, err := db.ExecContext(ctx, "VACUUM INTO ?", part); err != nil {
		os.Remove(part)
		return b.explain("copy the logbook to "+to, err)
	}
	if err := syncFile(part); err != nil {
		os.Remove(part)
		return fmt.Errorf("copy the logbook to %s: %w", to, err)
	}
	if err := os.Link(part, to); err == nil {
		os.Remove(part)
	} else if errors.Is(err, fs.ErrExist) {
		os.Remove(part)
		return fmt.Errorf("%s exists; give another name: %w", to, ErrExists)
	} else if err := os.Rename(part, to); err != nil { // no hard links here
		return fmt.Errorf("copy the logbook to %s: %w", to, err)
	}
	syncDir(filepath.Dir(to))
	return nil
}

// Backup writes a complete copy of the logbook, as it is now, to a new file.
// Others may go on writing. It refuses to write over a file (ErrExists).
func (b *Book) Backup(ctx context.Context, to string) error {
	if _, err := os.Stat(to); err == nil {
		return fmt.Errorf("%s exists; give another name: %w", to, ErrExists)
	}
	return b.copyTo(ctx, to)
}

// Restore puts the backup at from in the place of the logbook at to. The
// backup is checked first, and must be whole. What was at to, if anything, is
// kept beside it; its path is returned. No program may have the logbook at to
// open (ErrBusy).
func Restore(ctx context.Context, from, to string, o Options) (kept string, err error) {
	b, err := Open(ctx, from, Options{ReadOnly: true, Program: o.Program, Now: o.Now, forms: o.forms, anyForm: true})
	if err != nil {
		return "", err
	}
	defer b.Close()
	h, err := b.Verify(ctx)
	if err != nil {
		return "", err
	}
	if !h.Sound() {
		return "", &Damaged{from, h.String()}
	}
	if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
		return "", fmt.Errorf("restore to %s: %w (%w)", to, ErrReadOnly, err)
	}
	part := to + ".restore"
	os.Remove(part)
	if err := b.copyTo(ctx, part); err != nil {
		return "", err
	}
	defer os.Remove(part)
	if _, err := os.Stat(to); err == nil {
		if err := settle(ctx, to); err != nil {
			return "", err
		}
		if kept, err = aside(to); err != nil {
			return "", err
		}
	}
	if err := os.Rename(part, to); err != nil {
		return kept, fmt.Errorf("restore to %s: %w", to, err)
	}
	syncDir(filepath.Dir(to))
	n, err := Open(ctx, to, o)
	if err != nil {
		return kept, err
	}
	return kept, n.Close()
}

// settle folds a write-ahead file into its logbook and makes sure that nobody
// has it open. A damaged file is left as it is.
func settle(ctx context.Context, path string) error {
	b := &Book{path: path}
	db := openDB(path, false, Options{}, false)
	db.SetMaxOpenConns(1)
	defer db.Close()
	// In write-ahead mode the switch back needs the file for itself.
	var mode string
	err := db.QueryRowContext(ctx, "PRAGMA journal_mode = DELETE").Scan(&mode)
	if err = b.explain("restore the logbook", err); errors.Is(err, ErrBusy) || err == nil && mode == "wal" {
		return fmt.Errorf("restore the logbook: another program has %s open; close it first: %w", path, ErrBusy)
	}
	return nil
}

// aside renames a logbook and what belongs to it.
func aside(path string) (string, error) {
	for n := 1; n < 1000; n++ {
		to := fmt.Sprintf("%s.replaced-%d", path, n)
		if _, err := os.Stat(to); err == nil {
			continue
		}
		for _, tail := range []string{"-wal", "-shm", "-journal", ""} {
			if err := os.Rename(path+tail, to+tail); err != nil && !errors.Is(err, fs.ErrNotExist) {
				return "", fmt.Errorf("keep the old logbook: %w", err)
			}
		}
		return to, nil
	}
	return "", errors.New("a thousand replaced logbooks lie beside it already; move them elsewhere")
}

func syncFile(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	defer f.Close()
	return f.Sync()
}

// syncDir makes a rename durable where the system can; elsewhere it does
// nothing.
func syncDir(path string) {
	if d, err := os.Open(path); err == nil {
		d.Sync()
		d.Close()
	}
}

// Health is what Verify found.
type Health struct {
	Form     int      // of the file
	Runs     int      // in it
	RawFiles int      // in it, all sums checked
	Faults   []string // what is wrong; empty when all is well
}

// Sound tells that nothing is wrong.
func (h Health) Sound() bool { return len(h.Faults) == 0 }

// String says it in one line.
func (h Health) String() string {
	if h.Sound() {
		return fmt.Sprintf("form %d, %d runs, %d raw files, all whole", h.Form, h.Runs, h.RawFiles)
	}
	return fmt.Sprintf("%d faults, the first: %s", len(h.Faults), h.Faults[0])
}

// Verify reads the whole file: SQLite's own integrity check, the links between
// tables, and the sum of every raw file, edition and picture.
func (b *Book) Verify(ctx context.Context) (Health, error) {
	h := Health{Form: b.form}
	faults, err := all(ctx, b, "check the logbook", func(r *sql.Rows) (string, error) { var s string; return s, r.Scan(&s) }, "PRAGMA integrity_check")
	if err != nil {
		var d *Damaged
		if errors.As(err, &d) {
			h.Faults = append(h.Faults, d.Why)
			return h, nil
		}
		return h, err
	}
	if len(faults) != 1 || faults[0] != "ok" {
		h.Faults = append(h.Faults, faults...)
	}
	links, err := all(ctx, b, "check the logbook", func(r *sql.Rows) (string, error) {
		var table, parent sql.NullString
		var row, fk sql.NullInt64
		err := r.Scan(&table, &row, &parent, &fk)
		return fmt.Sprintf("row %d of %s points to a row of %s that is not there", row.Int64, table.String, parent.String), err
	}, "PRAGMA foreign_key_check")
	if err != nil {
		return h, err
	}
	h.Faults = append(h.Faults, links...)
	if err := b.read.QueryRowContext(ctx, "SELECT (SELECT count(*) FROM run), (SELECT count(*) FROM raw)").Scan(&h.Runs, &h.RawFiles); err != nil {
		return h, b.explain("check the logbook", err)
	}
	for _, table := range []string{"raw", "edition", "picture"} {
		bad, err := all(ctx, b, "check the logbook", func(r *sql.Rows) (string, error) {
			var id int64
			var sum, data []byte
			if err := r.Scan(&id, &sum, &data); err != nil {
				return "", err
			}
			if string(sum) != string(sumOf(data)) {
				return fmt.Sprintf("the bytes of %s %d do not match their sum", table, id), nil
			}
			return "", nil
		}, "SELECT id, sha256, bytes FROM "+table)
		if err != nil {
			return h, err
		}
		for _, s := range bad {
			if s != "" {
				h.Faults = append(h.Faults, s)
			}
		}
	}
	return h, nil
}
