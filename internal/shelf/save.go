package shelf

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"dawnsmith/internal/file"
	"dawnsmith/lamp"
	"dawnsmith/lamp/brief"
)

// Conflict says that a document was not saved, since its file is no longer
// what was opened. Nothing was written.
type Conflict struct {
	Name string
	// Removed: the file is gone; Exists: there was none and now there is.
	Removed, Exists bool
}

// Error says it in one sentence.
func (e *Conflict) Error() string {
	switch {
	case e.Removed:
		return fmt.Sprintf("“%s” has been removed from the folder since it was opened", e.Name)
	case e.Exists:
		return fmt.Sprintf("there is a document “%s” already", e.Name)
	}
	return fmt.Sprintf("“%s” has been changed by someone else since it was opened", e.Name)
}

// SaveLamp writes a lamp under a name. since is the Token it was opened with,
// "" for one that is to be new. When the file is not what since stands for, the
// error is a *Conflict, unless anyway is set: then the file as it is becomes a
// revision and is overwritten. What was there before is always kept as a
// revision. It returns the lamp as it was written, with its new number.
func (s *Shelf) SaveLamp(name string, l lamp.Spec, since string, anyway bool) (lamp.Spec, error) {
	err := s.save(name, lampEnd, since, anyway, func(path, head string, old []byte, kept int, stamp file.Stamp) error {
		if was, err := file.ParseLamp(old, name); err == nil {
			l.Revision = was.Revision
		}
		l.Revision = max(l.Revision, kept) + 1
		_, err := file.SaveLamp(path, l, head, stamp)
		return err
	})
	return l, err
}

// SaveBrief writes a brief likewise.
func (s *Shelf) SaveBrief(name string, b brief.Brief, since string, anyway bool) error {
	return s.save(name, briefEnd, since, anyway, func(path, head string, _ []byte, _ int, stamp file.Stamp) error {
		_, err := file.SaveBrief(path, b, head, stamp)
		return err
	})
}

// save keeps what is there and calls write with the comment at its top, its
// bytes, the number it was kept under, and the Stamp that it must still have.
func (s *Shelf) save(name, end, since string, anyway bool, write func(path, head string, old []byte, kept int, stamp file.Stamp) error) error {
	if err := CheckName(name); err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	path := filepath.Join(s.dir, name+end)
	// The stamp is taken before the content is read, so that what another
	// program writes in between is noticed, not overwritten.
	stamp, unread := stampOf(path, end)
	if errors.Is(unread, fs.ErrNotExist) {
		unread = nil
	}
	data, err := read(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if since != "" && !anyway {
			return &Conflict{Name: name, Removed: true}
		}
		return conflict(name, since, write(path, "", nil, 0, file.Stamp{}))
	case err != nil:
		return err
	case token(data) != since && !anyway:
		return &Conflict{Name: name, Exists: since == ""}
	case unread != nil && !anyway:
		return unread
	case unread != nil:
		stamp = file.Overwrite() // it is no document; it is kept as it is
	}
	kept, err := s.keep(name, end, data)
	if err != nil {
		return fmt.Errorf("the file as it stands could not be kept as a revision, so nothing was written: %w", err)
	}
	return conflict(name, since, write(path, head(data), data, kept, stamp))
}

func conflict(name, since string, err error) error {
	if errors.Is(err, file.ErrChanged) {
		return &Conflict{Name: name, Exists: since == ""}
	}
	return err
}

func stampOf(path, end string) (file.Stamp, error) {
	if end == lampEnd {
		_, st, err := file.OpenLamp(path)
		return st, err
	}
	_, st, err := file.OpenBrief(path)
	return st, err
}

// Revision is an earlier state of a document.
type Revision struct {
	Number int
	Saved  time.Time // when it was put aside
}

func (s *Shelf) kept() string { return filepath.Join(s.dir, "revisions") }

func (s *Shelf) keptPath(name, end string, n int) string {
	return filepath.Join(s.kept(), fmt.Sprintf("%s.r%d%s", name, n, end))
}

// keep puts bytes aside as the next revision, unless the last one is the same,
// and returns its number.
func (s *Shelf) keep(name, end string, data []byte) (int, error) {
	n := 1
	if was, err := file.ParseLamp(data, name); err == nil && end == lampEnd && was.Revision > 0 {
		n = was.Revision
	}
	if old := s.revisions(name, end); len(old) > 0 {
		last := old[0].Number
		if same, err := os.ReadFile(s.keptPath(name, end, last)); err == nil && token(same) == token(data) {
			return last, nil
		}
		n = max(n, last+1)
	}
	if err := os.MkdirAll(s.kept(), 0o755); err != nil {
		return 0, err
	}
	for {
		_, err := file.SaveBytes(s.keptPath(name, end, n), data, file.Stamp{})
		if !errors.Is(err, file.ErrChanged) {
			return n, err
		}
		n++ // another program has just taken that number
	}
}

// Revisions lists the earlier states of a lamp, newest first.
func (s *Shelf) Revisions(name string) []Revision { return s.revisions(name, lampEnd) }

func (s *Shelf) revisions(name, end string) []Revision {
	entries, err := os.ReadDir(s.kept())
	if err != nil {
		return nil
	}
	var out []Revision
	for _, e := range entries {
		rest, ok := strings.CutPrefix(e.Name(), name+".r")
		if !ok {
			continue
		}
		num, ok := strings.CutSuffix(rest, end)
		n, err := strconv.Atoi(num)
		if !ok || err != nil || n < 1 {
			continue
		}
		r := Revision{Number: n}
		if info, err := e.Info(); err == nil {
			r.Saved = info.ModTime()
		}
		out = append(out, r)
	}
	slices.SortFunc(out, func(a, b Revision) int { return b.Number - a.Number })
	return out
}

// LampRevision opens an earlier state of a lamp.
func (s *Shelf) LampRevision(name string, n int) (lamp.Spec, error) {
	if err := CheckName(name); err != nil {
		return lamp.Spec{}, err
	}
	data, err := read(s.keptPath(name, lampEnd, n))
	if err != nil {
		return lamp.Spec{}, err
	}
	return file.ParseLamp(data, fmt.Sprintf("%s, revision %d", name, n))
}

// Put places the bytes of a document, as someone brought them along, on the
// shelf under a free name made from the one given, and returns its kind and
// name. The error is that of the document's reader when it is none.
func (s *Shelf) Put(given string, data []byte) (file.Kind, string, error) {
	kind, err := file.KindOf(data, given)
	if err != nil {
		return "", "", err
	}
	end := briefEnd
	switch kind {
	case file.LampKind:
		end = lampEnd
		_, err = file.ParseLamp(data, given)
	case file.BriefKind:
		_, err = file.ParseBrief(data, given)
	default:
		return kind, "", fmt.Errorf("%s is a parts file; start with it laid over the catalogue: dawnsmith serve --parts FILE", given)
	}
	if err != nil {
		return kind, "", err
	}
	base := strings.TrimSuffix(strings.TrimSuffix(strings.TrimSuffix(filepath.Base(given), ".toml"), ".lamp"), ".brief")
	if CheckName(base) != nil {
		base = string(kind)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	for i := 1; i < 1000; i++ {
		name := base
		if i > 1 {
			name = fmt.Sprintf("%s-%d", base, i)
		}
		_, err := file.SaveBytes(filepath.Join(s.dir, name+end), data, file.Stamp{})
		if !errors.Is(err, file.ErrChanged) {
			return kind, name, err
		}
	}
	return kind, "", fmt.Errorf("there are too many documents called %s", base)
}
