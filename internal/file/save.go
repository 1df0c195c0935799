package file

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"dawnsmith/lamp"
	"dawnsmith/lamp/brief"
	"dawnsmith/lamp/part"
)

// Stamp is the fingerprint of a file's content as it was read. The zero Stamp
// is that of a file that does not exist.
type Stamp struct {
	sum   [sha256.Size]byte
	there bool
	any   bool
}

// IsZero reports whether s stands for a file that does not exist.
func (s Stamp) IsZero() bool { return s == Stamp{} }

// Overwrite is the Stamp that fits any file: saving with it asks no questions.
func Overwrite() Stamp { return Stamp{any: true} }

func stampOf(data []byte) Stamp { return Stamp{sum: sha256.Sum256(data), there: true} }

// ErrChanged means that a file was not saved because it is no longer what was
// read: somebody changed, made or removed it since.
var ErrChanged = errors.New("the file has changed since it was read")

// OpenBrief reads the brief at path; see ParseBrief. The Stamp is for
// SaveBrief. A missing file keeps fs.ErrNotExist and names its neighbours.
func OpenBrief(path string) (brief.Brief, Stamp, error) { return load(path, ParseBrief) }

// OpenParts reads the parts file at path; see OpenBrief.
func OpenParts(path string) (part.Set, Stamp, error) { return load(path, ParseParts) }

// OpenLamp reads the lamp at path; see OpenBrief.
func OpenLamp(path string) (lamp.Spec, Stamp, error) { return load(path, ParseLamp) }

// OpenKind tells what the document at path is; see KindOf.
func OpenKind(path string) (Kind, error) {
	k, _, err := load(path, KindOf)
	return k, err
}

func load[T any](path string, parse func([]byte, string) (T, error)) (T, Stamp, error) {
	var zero T
	data, err := contents(path)
	if err != nil {
		return zero, Stamp{}, err
	}
	doc, err := parse(data, path)
	if err != nil {
		return zero, Stamp{}, err
	}
	return doc, stampOf(data), nil
}

// contents reads a file of at most MaxSize bytes.
func contents(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, notOpened(path, err)
	}
	defer f.Close()
	if st, err := f.Stat(); err != nil {
		return nil, err
	} else if st.IsDir() {
		return nil, fmt.Errorf("%s is a folder; name a document in it%s", path, listed(path, ""))
	}
	data, err := io.ReadAll(io.LimitReader(f, MaxSize+1))
	if err != nil {
		return nil, err
	}
	if len(data) > MaxSize {
		return nil, fmt.Errorf("%s: %w", path, ErrTooLarge)
	}
	return data, nil
}

// notOpened words why a file could not be opened.
func notOpened(path string, err error) error {
	if !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	dir := filepath.Dir(path)
	if st, e := os.Stat(dir); e != nil || !st.IsDir() {
		return fmt.Errorf("%s: there is no folder %s: %w", path, dir, fs.ErrNotExist)
	}
	return fmt.Errorf("%s: there is no such file%s: %w", path, listed(dir, filepath.Base(path)), fs.ErrNotExist)
}

// listed names the document of the folder nearest to name, or the first few.
func listed(dir, name string) string {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return ""
	}
	var docs []string
	for _, e := range entries {
		if !e.IsDir() && strings.HasSuffix(e.Name(), ".toml") {
			docs = append(docs, e.Name())
		}
	}
	switch {
	case len(docs) == 0:
		return ""
	case name != "":
		return fmt.Sprintf("; the folder holds %s", filepath.Join(dir, part.Nearest(name, docs)))
	}
	return ", such as " + strings.Join(docs[:min(3, len(docs))], ", ")
}

// SaveBrief writes the brief to path, with head as comment on top, all of it
// or nothing: a temporary file is written, synced and put in the old one's
// place. since is the Stamp of what was read there (the zero Stamp: nothing is
// there yet; Overwrite: never mind); when something else is there, nothing is
// written and the error wraps ErrChanged. It returns the new Stamp.
//
// Between the last look and the renaming another program could still slip in;
// that window is some microseconds wide and not closed.
func SaveBrief(path string, b brief.Brief, head string, since Stamp) (Stamp, error) {
	return save(path, since, func(w io.Writer) error { return WriteBrief(w, b, head) })
}

// SaveParts writes a parts file to path; see SaveBrief.
func SaveParts(path string, s part.Set, head string, since Stamp) (Stamp, error) {
	return save(path, since, func(w io.Writer) error { return WriteParts(w, s, head) })
}

// SaveLamp writes a lamp to path; see SaveBrief.
func SaveLamp(path string, s lamp.Spec, head string, since Stamp) (Stamp, error) {
	return save(path, since, func(w io.Writer) error { return WriteLamp(w, s, head) })
}

func save(path string, since Stamp, write func(io.Writer) error) (Stamp, error) {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return Stamp{}, fmt.Errorf("%s: %w", path, err)
	}
	return SaveBytes(path, b.Bytes(), since)
}

// SaveBytes writes any file with the promise of SaveBrief.
func SaveBytes(path string, data []byte, since Stamp) (Stamp, error) {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real // write through a link, do not replace it
	}
	mode := fs.FileMode(0o666)
	if st, err := os.Stat(path); err == nil {
		if !st.Mode().IsRegular() {
			return Stamp{}, fmt.Errorf("%s is not a plain file", path)
		}
		mode = st.Mode().Perm()
	}
	tmp, err := temporary(path, data, mode)
	if err != nil {
		return Stamp{}, err
	}
	defer os.Remove(tmp) // gone already when all went well
	if err := unchanged(path, since); err != nil {
		return Stamp{}, err
	}
	if since.IsZero() {
		// A hard link fails when the name has come to exist meanwhile; where
		// the file system has none, renaming must do.
		switch err := os.Link(tmp, path); {
		case err == nil:
			syncFolder(path)
			return stampOf(data), nil
		case errors.Is(err, fs.ErrExist):
			return Stamp{}, fmt.Errorf("%s: a file of this name has been made meanwhile: %w", path, ErrChanged)
		}
	}
	if err := os.Rename(tmp, path); err != nil {
		return Stamp{}, err
	}
	syncFolder(path)
	return stampOf(data), nil
}

// unchanged compares what is at path with what was read there.
func unchanged(path string, since Stamp) error {
	if since.any {
		return nil
	}
	data, err := os.ReadFile(path)
	switch {
	case errors.Is(err, fs.ErrNotExist) && since.there:
		return fmt.Errorf("%s: the file has been removed: %w", path, ErrChanged)
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return err
	case !since.there:
		return fmt.Errorf("%s: a file of this name is there already: %w", path, ErrChanged)
	case stampOf(data) != since:
		return fmt.Errorf("%s: read it again, or save under another name: %w", path, ErrChanged)
	}
	return nil
}

// temporary writes data to a new file beside path and syncs it.
func temporary(path string, data []byte, mode fs.FileMode) (string, error) {
	dir, base := filepath.Split(path)
	var f *os.File
	var err error
	for i := range 1000 {
		name := fmt.Sprintf("%s.%s.%d-%d.tmp", dir, base, os.Getpid(), i)
		if f, err = os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode); !errors.Is(err, fs.ErrExist) {
			break
		}
	}
	if err != nil {
		return "", notOpened(path, err)
	}
	_, err = f.Write(data)
	err = errors.Join(err, f.Sync(), f.Close())
	if err != nil {
		os.Remove(f.Name())
		return "", err
	}
	return f.Name(), nil
}

// syncFolder makes the new name last through a power cut, where the system
// can sync folders; where it cannot, that is no fault of the document.
func syncFolder(path string) {
	if d, err := os.Open(filepath.Dir(path)); err == nil {
		_ = d.Sync()
		d.Close()
	}
}
