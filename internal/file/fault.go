package file

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// MaxFaults is how many faults of one document are listed.
const MaxFaults = 10

// Schema is the version of all documents that this program writes.
const Schema = 1

// ErrNewer means that a newer Dawnsmith made the document.
var ErrNewer = errors.New("made by a newer Dawnsmith")

// Fault is one thing wrong in a document.
type Fault struct {
	// Line and Col count from 1, Col in characters; Width is the number of
	// characters to mark.
	Line, Col, Width int
	// Path is the place in the document, "sheet[2].transmittance", elements
	// counted from 1; "" for the document itself.
	Path string
	// What was found, and Mend, what is allowed or how to mend it.
	What, Mend string
	// Text is the offending line.
	Text string
}

// Error gives place, fault and mend in one line.
func (f Fault) Error() string {
	s := fmt.Sprintf("%d:%d: %s", f.Line, f.Col, f.What)
	if f.Mend != "" {
		s += "; " + f.Mend
	}
	return s
}

// Errors are all faults of one document, in the order of their lines.
type Errors struct {
	File   string // as given by the caller
	Faults []Fault
	More   int // faults beyond MaxFaults, not listed
}

// Error lists the faults for a person, each with its line and a mark under
// the spot.
func (e *Errors) Error() string {
	var b strings.Builder
	for i, f := range e.Faults {
		if i > 0 {
			b.WriteByte('\n')
		}
		fmt.Fprintf(&b, "%s:%s", e.File, f.Error())
		b.WriteString(f.mark())
	}
	if e.More > 0 {
		fmt.Fprintf(&b, "\n%s: and %d more; mend these first", e.File, e.More)
	}
	return b.String()
}

// Unwrap gives the faults one by one.
func (e *Errors) Unwrap() []error {
	out := make([]error, len(e.Faults))
	for i, f := range e.Faults {
		out[i] = f
	}
	return out
}

// window is how many characters of a long line are shown.
const window = 100

// mark shows the line with carets under the spot; nothing for a fault
// without a line's text.
func (f Fault) mark() string {
	if f.Text == "" {
		return ""
	}
	text := []rune(f.Text)
	at := min(max(0, f.Col-1), len(text))
	n := max(1, min(f.Width, len(text)-at))
	lead := ""
	if len(text) > window {
		from := max(0, min(at-window/3, len(text)-window))
		if from > 0 {
			lead = "…"
		}
		tail := ""
		if from+window < len(text) {
			tail = "…"
		}
		text = append(text[from:min(len(text), from+window):len(text)], []rune(tail)...)
		at -= from
		n = max(1, min(n, len(text)-at))
	}
	var pad strings.Builder
	pad.WriteString(strings.Repeat(" ", utf8.RuneCountInString(lead)))
	for _, r := range text[:at] {
		if r == '\t' {
			pad.WriteByte('\t')
		} else {
			pad.WriteByte(' ')
		}
	}
	num := fmt.Sprintf("%5d", f.Line)
	return fmt.Sprintf("\n%s | %s%s\n%s | %s%s", num, lead, string(text), strings.Repeat(" ", len(num)), pad.String(), strings.Repeat("^", n))
}

// span is a stretch of the document in bytes.
type span struct{ off, n int }

// reader holds one document while it is read, and its faults.
type reader struct {
	name   string
	data   []byte
	faults []Fault
	total  int
	// broken are the places of values that are not TOML, told already.
	broken map[int]bool
}

// fault notes one fault at a place; beyond MaxFaults it is only counted.
func (r *reader) fault(at span, path, what, mend string) {
	r.total++
	if r.total > 4*MaxFaults { // enough to sort and choose from
		return
	}
	f := Fault{Path: path, What: what, Mend: mend}
	f.Line, f.Col, f.Width, f.Text = r.place(at)
	if at.n == 0 { // the document as a whole: no spot to mark
		f.Text = ""
	}
	r.faults = append(r.faults, f)
}

// place turns a stretch of bytes into line, column and width in characters,
// within its first line.
func (r *reader) place(at span) (line, col, width int, text string) {
	off := min(max(0, at.off), len(r.data))
	start := strings.LastIndexByte(string(r.data[:off]), '\n') + 1
	end := len(r.data)
	if i := slices.Index(r.data[off:], '\n'); i >= 0 {
		end = off + i
	}
	line = 1 + strings.Count(string(r.data[:start]), "\n")
	col = 1 + utf8.RuneCount(r.data[start:off])
	width = max(1, utf8.RuneCount(r.data[off:max(off, min(end, off+at.n))]))
	return line, col, width, plain(string(r.data[start:end]))
}

// plain makes a line safe to show on a terminal.
func plain(s string) string {
	return strings.Map(func(r rune) rune {
		if r == '\r' {
			return -1
		}
		if r != '\t' && (unicode.IsControl(r) || r == utf8.RuneError) {
			return '�'
		}
		return r
	}, s)
}

// err gives the faults found, or nil.
func (r *reader) err() error {
	if r.total == 0 {
		return nil
	}
	slices.SortStableFunc(r.faults, func(a, b Fault) int {
		if a.Line != b.Line {
			return a.Line - b.Line
		}
		return a.Col - b.Col
	})
	n := min(len(r.faults), MaxFaults)
	return &Errors{File: r.name, Faults: r.faults[:n:n], More: r.total - n}
}
