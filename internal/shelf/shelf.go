package shelf

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"time"
	"unicode"
	"unicode/utf8"

	"dawnsmith/internal/catalogue"
	"dawnsmith/internal/file"
	"dawnsmith/lamp"
	"dawnsmith/lamp/brief"
)

// Shelf is a folder of documents. It may be used by several goroutines.
type Shelf struct {
	dir string
	// mu lets one save at a time: a look at what is there, the revision, and
	// the writing belong together.
	mu sync.Mutex
}

// Open opens a folder, which must exist.
func Open(dir string) (*Shelf, error) {
	abs, err := filepath.Abs(dir)
	if err != nil {
		return nil, err
	}
	st, err := os.Stat(abs)
	if err != nil {
		return nil, fmt.Errorf("folder %s: %w", dir, err)
	}
	if !st.IsDir() {
		return nil, fmt.Errorf("%s is a file; name a folder of lamps and briefs", dir)
	}
	return &Shelf{dir: abs}, nil
}

// Dir is the folder's absolute path.
func (s *Shelf) Dir() string { return s.dir }

// The endings of documents.
const (
	lampEnd  = ".lamp.toml"
	briefEnd = ".brief.toml"
)

// BadName refuses a name no document can have.
type BadName struct{ Name, Why string }

// Error says what is allowed.
func (e *BadName) Error() string {
	return fmt.Sprintf("“%s” cannot be a document's name: %s; take letters, digits, spaces, hyphens and points", e.Name, e.Why)
}

var device = regexp.MustCompile(`^(con|prn|aux|nul|(com|lpt)[1-9]) *$`)

// CheckName refuses names that cannot be a file's on every system.
func CheckName(name string) error {
	bad := func(why string) error { return &BadName{name, why} }
	switch {
	case name == "":
		return bad("it is empty")
	case utf8.RuneCountInString(name) > 100 || len(name) > 200: // bytes; with endings a file's name has at most 255
		return bad("it is too long")
	case !utf8.ValidString(name) || strings.ContainsFunc(name, func(r rune) bool {
		return !(unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.IsMark(r) || strings.ContainsRune(" -_.,+", r))
	}):
		return bad("it holds other signs")
	case strings.Trim(name, " .") != name || strings.Contains(name, ".."):
		return bad("points and spaces stand at its ends or together")
	}
	if base, _, _ := strings.Cut(strings.ToLower(name), "."); device.MatchString(base) {
		return bad("some systems keep it for devices")
	}
	return nil
}

// Opened is a document as it was found.
type Opened[T any] struct {
	Name string
	Doc  T
	// Token stands for the file's content as read; "" for a document that is
	// not in the folder.
	Token string
	// Sample marks a built-in document that the folder does not have.
	Sample bool
	Saved  time.Time
	// Err is why a document of a list could not be read.
	Err error
}

func token(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:12])
}

var samples = map[string]string{
	"oulu-first" + lampEnd:   catalogue.FirstName,
	"oulu-bench" + briefEnd:  catalogue.BenchName,
	"oulu-bright" + briefEnd: catalogue.BrightName,
}

// open reads a document of the folder, or else a sample.
func open[T any](s *Shelf, name, end string, parse func([]byte, string) (T, error)) (Opened[T], error) {
	o := Opened[T]{Name: name}
	if err := CheckName(name); err != nil {
		return o, err
	}
	path := filepath.Join(s.dir, name+end)
	data, err := read(path)
	if errors.Is(err, fs.ErrNotExist) {
		if sample, ok := samples[name+end]; ok {
			o.Sample = true
			o.Doc, err = parse(catalogue.Text(sample), sample)
			return o, err
		}
	}
	if err != nil {
		return o, err
	}
	o.Token = token(data)
	if st, err := os.Stat(path); err == nil {
		o.Saved = st.ModTime()
	}
	o.Doc, err = parse(data, name+end)
	return o, err
}

func read(path string) ([]byte, error) {
	st, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if st.Size() > file.MaxSize {
		return nil, fmt.Errorf("%s: %w", filepath.Base(path), file.ErrTooLarge)
	}
	return os.ReadFile(path)
}

// Lamp opens the lamp of a name.
func (s *Shelf) Lamp(name string) (Opened[lamp.Spec], error) {
	return open(s, name, lampEnd, file.ParseLamp)
}

// Brief opens the brief of a name.
func (s *Shelf) Brief(name string) (Opened[brief.Brief], error) {
	return open(s, name, briefEnd, file.ParseBrief)
}

// Lamps lists the lamps of the folder, newest first, then the samples that it
// does not have. A lamp that cannot be read is listed with the reason.
func (s *Shelf) Lamps() ([]Opened[lamp.Spec], error) { return list(s, lampEnd, s.Lamp) }

// Briefs lists the briefs likewise.
func (s *Shelf) Briefs() ([]Opened[brief.Brief], error) { return list(s, briefEnd, s.Brief) }

func list[T any](s *Shelf, end string, open func(string) (Opened[T], error)) ([]Opened[T], error) {
	entries, err := os.ReadDir(s.dir)
	if err != nil {
		return nil, fmt.Errorf("the folder cannot be read: %w", err)
	}
	var out []Opened[T]
	seen := map[string]bool{}
	for _, e := range entries {
		name, ok := strings.CutSuffix(e.Name(), end)
		if !ok || e.IsDir() || CheckName(name) != nil {
			continue
		}
		o, err := open(name)
		o.Err = err
		seen[e.Name()] = true
		out = append(out, o)
	}
	slices.SortStableFunc(out, func(a, b Opened[T]) int { return b.Saved.Compare(a.Saved) })
	var names []string
	for name := range samples {
		if strings.HasSuffix(name, end) && !seen[name] {
			names = append(names, strings.TrimSuffix(name, end))
		}
	}
	slices.Sort(names)
	for _, name := range names {
		o, err := open(name)
		o.Err = err
		out = append(out, o)
	}
	return out, nil
}

// head gives the comment at the top of a document.
func head(data []byte) string {
	var lines []string
	for line := range bytes.Lines(bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))) {
		t := strings.TrimSpace(string(line))
		if !strings.HasPrefix(t, "#") {
			break
		}
		lines = append(lines, strings.TrimPrefix(strings.TrimPrefix(t, "#"), " "))
	}
	return strings.Join(lines, "\n")
}
