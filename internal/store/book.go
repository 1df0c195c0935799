package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	_ "modernc.org/sqlite" // the driver named "sqlite"
)

// applicationID marks the file in its header: "DWLB".
const applicationID = 0x44574c42

// Options are how a logbook is opened.
type Options struct {
	// Program is the version that stands beside everything written.
	Program string
	// ReadOnly opens an existing logbook without ever writing to it.
	ReadOnly bool
	// Now is the clock; nil: time.Now.
	Now func() time.Time
	// Wait is how long to wait for another program's write; 0: 5 s.
	Wait time.Duration

	// maxPages limits the file's size in tests.
	maxPages int
	// forms are the migrations; nil: those built in.
	forms fs.FS
	// anyForm lets a reader open an older form.
	anyForm bool
}

// Book is an open logbook. Its methods may be called from many goroutines.
type Book struct {
	path     string
	readOnly bool
	program  string
	now      func() time.Time
	write    *sql.DB // one connection, immediate transactions
	read     *sql.DB
	form     int
	extra    []string // of how the file had to be opened for reading
}

// Open opens the logbook at path, making it (and its folder) when there is
// none, and brings an older form up to date. It fails with *Newer,
// *NotLogbook, *Damaged, or an error that wraps ErrReadOnly, ErrFull, ErrBusy
// or, for reading only, ErrNotFound.
func Open(ctx context.Context, path string, o Options) (*Book, error) {
	if path == "" {
		return nil, errors.New("the path of the logbook is empty; give the path of a file")
	}
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, fmt.Errorf("path of the logbook: %w", err)
	}
	b := &Book{path: abs, readOnly: o.ReadOnly, program: o.Program, now: o.Now}
	if b.now == nil {
		b.now = time.Now
	}
	if o.Wait == 0 {
		o.Wait = 5 * time.Second
	}
	info, err := os.Stat(abs)
	switch {
	case err == nil && info.IsDir():
		return nil, &NotLogbook{abs, "it is a folder"}
	case errors.Is(err, fs.ErrNotExist) && o.ReadOnly:
		return nil, fmt.Errorf("%s: %w", abs, ErrNotFound)
	case errors.Is(err, fs.ErrNotExist):
		if err := os.MkdirAll(filepath.Dir(abs), 0o755); err != nil {
			return nil, fmt.Errorf("folder of the logbook: %w (%w)", ErrReadOnly, err)
		}
	case err != nil:
		return nil, fmt.Errorf("logbook: %w", err)
	}
	if err := b.open(ctx, o); err != nil {
		b.Close()
		return nil, err
	}
	return b, nil
}

func (b *Book) open(ctx context.Context, o Options) error {
	b.read = openDB(b.path, b.readOnly, o, true)
	b.read.SetMaxOpenConns(4)
	if b.readOnly {
		return b.openForReading(ctx, o)
	}
	b.write = openDB(b.path, false, o, false)
	b.write.SetMaxOpenConns(1)
	if err := b.check(ctx, b.write, o); err != nil {
		return err
	}
	// Mode and durability: write-ahead, and every commit waits for the disk.
	var mode string
	if err := b.write.QueryRowContext(ctx, "PRAGMA journal_mode = WAL").Scan(&mode); err != nil {
		return b.explain("open the logbook", err)
	}
	if mode != "wal" {
		return fmt.Errorf("the logbook's folder does not allow write-ahead logging (%s): %w", mode, ErrReadOnly)
	}
	form, err := b.migrate(ctx, o)
	if err != nil {
		return err
	}
	b.form = form
	// A file that may be read but not written shows only when it is tried.
	tx, err := b.write.BeginTx(ctx, nil)
	if err != nil {
		return b.explain("open the logbook for writing", err)
	}
	defer tx.Rollback()
	_, err = tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d", form))
	return b.explain("open the logbook for writing", err)
}

func (b *Book) openForReading(ctx context.Context, o Options) error {
	err := b.check(ctx, b.read, o)
	if err != nil && errors.Is(err, ErrNotFound) {
		// A folder that cannot be written gives SQLite no place for its shared
		// memory; when no write-ahead file is pending the file is complete as
		// it is.
		if wal, e := os.Stat(b.path + "-wal"); e != nil || wal.Size() == 0 {
			b.read.Close()
			b.extra = []string{"immutable=1"}
			b.read = openDB(b.path, true, o, true, b.extra...)
			err = b.check(ctx, b.read, o)
		}
	}
	if err != nil {
		return err
	}
	if err := b.read.QueryRowContext(ctx, "PRAGMA user_version").Scan(&b.form); err != nil {
		return b.explain("open the logbook", err)
	}
	return nil
}

// check refuses files that are no logbook, or one of a newer form.
func (b *Book) check(ctx context.Context, db *sql.DB, o Options) error {
	var app, form, tables int
	for query, to := range map[string]*int{"PRAGMA application_id": &app, "PRAGMA user_version": &form, "SELECT count(*) FROM sqlite_schema": &tables} {
		if err := db.QueryRowContext(ctx, query).Scan(to); err != nil {
			return b.explain("open the logbook", err)
		}
	}
	known, err := lastForm(o.forms)
	if err != nil {
		return err
	}
	switch {
	case app == 0 && tables == 0 && form == 0 && !b.readOnly:
		return nil // new
	case app != applicationID:
		return &NotLogbook{b.path, "it is an SQLite file of some other program"}
	case form > known:
		return &Newer{b.path, form, known}
	case form < known && b.readOnly && !o.anyForm:
		return fmt.Errorf("%s has the older form %d; open it once for writing, so that it is brought to form %d: %w", b.path, form, known, ErrReadOnly)
	}
	return nil
}

// openDB prepares a pool; nothing is opened yet.
func openDB(path string, readOnly bool, o Options, reader bool, extra ...string) *sql.DB {
	q := []string{"_pragma=busy_timeout(" + fmt.Sprint(o.Wait.Milliseconds()) + ")", "_pragma=foreign_keys(1)", "_pragma=trusted_schema(0)"}
	if readOnly {
		q = append(q, "mode=ro")
	} else {
		q = append(q, "_pragma=synchronous(FULL)")
	}
	if reader {
		q = append(q, "_pragma=query_only(1)")
	} else {
		q = append(q, "_txlock=immediate")
	}
	if o.maxPages > 0 && !reader {
		q = append(q, fmt.Sprintf("_pragma=max_page_count(%d)", o.maxPages))
	}
	q = append(q, extra...)
	slash := filepath.ToSlash(path)
	if runtime.GOOS == "windows" && !strings.HasPrefix(slash, "/") {
		slash = "/" + slash
	}
	db, err := sql.Open("sqlite", "file://"+(&url.URL{Path: slash}).EscapedPath()+"?"+strings.Join(q, "&"))
	if err != nil {
		panic("store: the sqlite driver is not linked: " + err.Error())
	}
	return db
}

// Close writes pending pages into the file and lets go of it.
func (b *Book) Close() error {
	var errs []error
	if b.read != nil {
		errs = append(errs, b.read.Close())
	}
	if b.write != nil {
		errs = append(errs, b.write.Close())
	}
	return errors.Join(errs...)
}

// Path is the absolute path of the file.
func (b *Book) Path() string { return b.path }

// Form is the form of the file, the number of its last migration.
func (b *Book) Form() int { return b.form }

// ReadOnly tells that the logbook was opened for reading.
func (b *Book) ReadOnly() bool { return b.readOnly }

// stamp is the time now as it stands in the file.
func (b *Book) stamp() string { return b.now().UTC().Format(time.RFC3339) }

// within runs f in one transaction: all of it is kept, or nothing. It returns
// when the commit is on the disk.
func (b *Book) within(ctx context.Context, what string, f func(tx *sql.Tx) error) error {
	if b.readOnly {
		return fmt.Errorf("%s: %w", what, ErrReadOnly)
	}
	tx, err := b.write.BeginTx(ctx, nil)
	if err != nil {
		return b.explain(what, err)
	}
	defer tx.Rollback()
	if err := f(tx); err != nil {
		return b.explain(what, err)
	}
	return b.explain(what, tx.Commit())
}

// all collects the rows of a query.
func all[T any](ctx context.Context, b *Book, what string, scan func(*sql.Rows) (T, error), query string, args ...any) ([]T, error) {
	rows, err := b.read.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, b.explain(what, err)
	}
	defer rows.Close()
	var out []T
	for rows.Next() {
		v, err := scan(rows)
		if err != nil {
			return nil, b.explain(what, err)
		}
		out = append(out, v)
	}
	return out, b.explain(what, rows.Err())
}

// Token changes whenever the file may have changed, by this program or another:
// the sizes and times of the file and of its log.
func (b *Book) Token() string {
	t := ""
	for _, path := range []string{b.path, b.path + "-wal"} {
		if st, err := os.Stat(path); err == nil {
			t += fmt.Sprintf("%d %d;", st.Size(), st.ModTime().UnixNano())
		}
	}
	return t
}
