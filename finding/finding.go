// Package finding holds what a computation has to say besides its numbers:
// a fault, a caution or a remark, as data that page, terminal and paper show
// alike.
package finding

import (
	"cmp"
	"fmt"
	"slices"
)

// Severity orders findings by what they ask of the reader.
type Severity int

const (
	// Note is worth knowing; nothing need be done.
	Note Severity = iota
	// Warn wants a decision before building.
	Warn
	// Stop keeps a lamp from getting a build pack until it is mended.
	Stop
)

var severityNames = [...]string{"note", "warn", "stop"}

// String gives the word shown to people: note, warn or stop.
func (s Severity) String() string {
	if s < Note || s > Stop {
		return fmt.Sprintf("severity(%d)", int(s))
	}
	return severityNames[s]
}

// MarshalText writes the severity as its word.
func (s Severity) MarshalText() ([]byte, error) {
	if s < Note || s > Stop {
		return nil, fmt.Errorf("severity %d is not one of note, warn, stop", int(s))
	}
	return []byte(s.String()), nil
}

// UnmarshalText reads note, warn or stop.
func (s *Severity) UnmarshalText(b []byte) error {
	i := slices.Index(severityNames[:], string(b))
	if i < 0 {
		return fmt.Errorf("severity %q is not one of note, warn, stop", b)
	}
	*s = Severity(i)
	return nil
}

// Change is one concrete alteration of a lamp document that would clear a
// finding: the document path (as in the TOML file, dotted) and its new value.
type Change struct {
	Path  string `json:"path"`
	Value string `json:"value"`
}

// Finding is one statement about a lamp, a plan or an import.
type Finding struct {
	// Severity says what the finding asks of the reader.
	Severity Severity `json:"severity"`
	// Key is stable and dotted, for example "circuit.wire_current".
	Key string `json:"key"`
	// What is one sentence with the number found and its limit.
	What string `json:"what"`
	// Cause says why, in one sentence.
	Cause string `json:"cause,omitempty"`
	// Mend says what to change, in words.
	Mend string `json:"mend,omitempty"`
	// Changes, if any, are the mend as data, ready to be applied together.
	Changes []Change `json:"changes,omitempty"`
	// Source names where the limit comes from; "common practice, no source"
	// and "from memory" are said as such.
	Source string `json:"source,omitempty"`
	// NoOverride marks a stop that an owner may not override in writing:
	// over-voltage, wire or fuse, bare LEDs without a sheet, eye hazard.
	NoOverride bool `json:"no_override,omitempty"`
}

// Worst returns the highest severity among fs and false when fs is empty.
func Worst(fs []Finding) (Severity, bool) {
	if len(fs) == 0 {
		return Note, false
	}
	w := Note
	for _, f := range fs {
		w = max(w, f.Severity)
	}
	return w, true
}

// Sort orders findings gravest first, then by key, then by text, so that the
// same lamp always lists them alike.
func Sort(fs []Finding) {
	slices.SortStableFunc(fs, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(b.Severity, a.Severity), cmp.Compare(a.Key, b.Key), cmp.Compare(a.What, b.What))
	})
}

// Has reports whether fs contains a finding with the given key.
func Has(fs []Finding, key string) bool {
	return slices.ContainsFunc(fs, func(f Finding) bool { return f.Key == key })
}
