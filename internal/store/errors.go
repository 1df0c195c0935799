package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"modernc.org/sqlite"
)

// Errors that callers tell apart with errors.Is.
var (
	// ErrNotFound: there is no such thing in the logbook.
	ErrNotFound = errors.New("not in the logbook")
	// ErrExists: the name is taken.
	ErrExists = errors.New("already in the logbook")
	// ErrReadOnly: the file or its folder cannot be written, or the logbook was
	// opened for reading.
	ErrReadOnly = errors.New("the logbook cannot be written; check the rights of the file and its folder")
	// ErrFull: the disk is full; nothing of the step was kept.
	ErrFull = errors.New("the disk is full and nothing of this step was kept; free some space and repeat it")
	// ErrBusy: another process kept the logbook locked for longer than the
	// wait.
	ErrBusy = errors.New("another program is writing to the logbook; repeat the step in a moment")
)

// Newer refuses a logbook that a newer program has written.
type Newer struct {
	Path         string
	Found, Known int
}

// Error says so kindly.
func (e *Newer) Error() string {
	return fmt.Sprintf("%s was written by a newer Dawnsmith: it has form %d and this program knows forms up to %d; nothing was changed; open it with the newer program, or open a copy kept from before", e.Path, e.Found, e.Known)
}

// NotLogbook refuses a file that is something else.
type NotLogbook struct {
	Path string
	Why  string
}

// Error says what the file is not.
func (e *NotLogbook) Error() string {
	return fmt.Sprintf("%s is not a logbook: %s; choose another file", e.Path, e.Why)
}

// Damaged tells that the file's content cannot be trusted.
type Damaged struct {
	Path string
	Why  string
}

// Error says how to mend it.
func (e *Damaged) Error() string {
	return fmt.Sprintf("%s is damaged: %s; restore it from a backup", e.Path, e.Why)
}

// Duplicate refuses a run whose raw file is in the logbook already.
type Duplicate struct {
	File string // its name as given
	Run  string // the run that holds the same bytes
}

// Error names the earlier run.
func (e *Duplicate) Error() string {
	return fmt.Sprintf("%s holds the same bytes as a file of run %s; it was imported before", e.File, e.Run)
}

// Primary result codes of SQLite (sqlite.org/rescode.html).
const (
	codeBusy       = 5
	codeLocked     = 6
	codeReadOnly   = 8
	codeCorrupt    = 11
	codeFull       = 13
	codeCantOpen   = 14
	codeConstraint = 19
	codeNotADB     = 26
)

// explain turns an SQLite error into one of ours, wrapping the original. What
// says what was being done.
func (b *Book) explain(what string, err error) error {
	if err == nil || errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	if errors.Is(err, sql.ErrNoRows) {
		return fmt.Errorf("%s: %w", what, ErrNotFound)
	}
	var own interface{ ours() }
	if errors.As(err, &own) {
		return err
	}
	var se *sqlite.Error
	if !errors.As(err, &se) {
		return fmt.Errorf("%s: %w", what, err)
	}
	with := func(kind error) error { return fmt.Errorf("%s: %w (%w)", what, kind, err) }
	switch se.Code() & 0xff {
	case codeBusy, codeLocked:
		return with(ErrBusy)
	case codeReadOnly:
		return with(ErrReadOnly)
	case codeFull:
		return with(ErrFull)
	case codeCorrupt:
		return &Damaged{b.path, se.Error()}
	case codeNotADB:
		return &NotLogbook{b.path, "it is not an SQLite file"}
	case codeCantOpen:
		if b.readOnly {
			return with(ErrNotFound)
		}
		return with(ErrReadOnly)
	case codeConstraint:
		if e := se.Code(); e == 2067 || e == 1555 { // unique, primary key
			return with(ErrExists)
		}
	}
	return fmt.Errorf("%s: %w", what, err)
}

func (*Newer) ours()      {}
func (*NotLogbook) ours() {}
func (*Damaged) ours()    {}
func (*Duplicate) ours()  {}
