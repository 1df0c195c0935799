package cli

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strings"

	"dawnsmith/internal/app"
	"dawnsmith/internal/store"
)

// bookPath is the logbook that is meant: the one named, or that in the user's
// data folder.
func (e *env) bookPath() (string, error) {
	if e.book != "" {
		return e.book, nil
	}
	dir := os.Getenv("XDG_DATA_HOME")
	if dir == "" {
		home, err := os.UserHomeDir()
		if err != nil {
			return "", input(fmt.Errorf("there is no home folder to keep the logbook in (%w); name one with --logbook FILE", err))
		}
		switch runtime.GOOS {
		case "darwin":
			dir = filepath.Join(home, "Library", "Application Support")
		case "windows":
			dir = os.Getenv("LOCALAPPDATA")
		}
		if dir == "" {
			dir = filepath.Join(home, ".local", "share")
		}
	}
	return filepath.Join(dir, "dawnsmith", "lamps.logbook"), nil
}

// openBook opens the logbook; for reading only, there must be one.
func (e *env) openBook(readOnly bool) (*app.Bench, func(), error) {
	path, err := e.bookPath()
	if err != nil {
		return nil, nil, err
	}
	book, err := store.Open(e.ctx, path, store.Options{Program: program(), ReadOnly: readOnly})
	if errors.Is(err, store.ErrNotFound) {
		return nil, nil, input(fmt.Errorf("%s: there is no logbook yet; put a first lamp in with \"dawnsmith add\", or name another with --logbook FILE", path))
	}
	if err != nil {
		return nil, nil, bookError(err)
	}
	a, err := e.plainApp()
	if err != nil {
		book.Close()
		return nil, nil, err
	}
	return &app.Bench{App: a, Book: book, Program: program()}, func() {
		if err := book.Close(); err != nil {
			fmt.Fprintln(e.Err, "dawnsmith: closing the logbook:", err)
		}
	}, nil
}

// bookError marks what the user can mend as wrong input.
func bookError(err error) error {
	var newer *store.Newer
	var not *store.NotLogbook
	if errors.As(err, &newer) || errors.As(err, &not) || errors.Is(err, store.ErrNotFound) || errors.Is(err, store.ErrExists) {
		return input(err)
	}
	return err
}

// program names this program with its version, as far as the build tells.
func program() string {
	v := "unversioned"
	if b, ok := debug.ReadBuildInfo(); ok {
		if b.Main.Version != "" && b.Main.Version != "(devel)" {
			v = b.Main.Version
		}
		for _, s := range b.Settings {
			if s.Key == "vcs.revision" && len(s.Value) >= 12 && v == "unversioned" {
				v = s.Value[:12]
			}
		}
	}
	return "dawnsmith " + v
}

// learned lays the parts that a named logbook holds over the catalogue, and
// says so.
func (e *env) learned(ctx context.Context, a *app.App) error {
	if e.book == "" {
		return nil
	}
	if _, err := os.Stat(e.book); err != nil {
		return nil // a logbook that is only to be made
	}
	book, err := store.Open(ctx, e.book, store.Options{Program: program(), ReadOnly: true})
	if err != nil {
		return bookError(err)
	}
	defer book.Close()
	sets, names, err := (&app.Bench{App: a, Book: book}).Learned(ctx)
	if err != nil {
		return err
	}
	for _, s := range sets {
		a.Parts = a.Parts.Layer(s)
	}
	if len(names) > 0 {
		fmt.Fprintf(e.Err, "Parts as %s.\n", strings.Join(names, ", then as "))
	}
	return a.Parts.Check()
}
