// Package metric holds the declaration of a measure: one place that tells
// every table, page, report and JSON file what a number is called, in what
// unit it is shown, which way is better and where its definition comes from.
package metric

import "fmt"

// Better says which direction of a metric a maker would choose, all else
// being equal.
type Better int

const (
	// Neither: the metric describes, it does not rank.
	Neither Better = iota
	// Up: more is better.
	Up
	// Down: less is better.
	Down
)

// String gives "", "up" or "down".
func (b Better) String() string {
	return [...]string{"", "up", "down"}[b]
}

// MarshalText gives the same as String.
func (b Better) MarshalText() ([]byte, error) { return []byte(b.String()), nil }

// UnmarshalText reads what MarshalText wrote; other words are an error.
func (b *Better) UnmarshalText(text []byte) error {
	for _, c := range []Better{Neither, Up, Down} {
		if string(text) == c.String() {
			*b = c
			return nil
		}
	}
	return fmt.Errorf("%q is no direction; allowed are up, down and nothing", text)
}

// Metric declares one measure. Domain packages export theirs as values and
// return numbers keyed by Key.
type Metric struct {
	// Key is stable, lower case with underscores, the unit in the name where
	// a plain number would leave it open ("illuminance_lx").
	Key string `json:"key"`
	// Name is what people read ("illuminance at the meter").
	Name string `json:"name"`
	// Symbol is the field's letter, if it has one ("E", "Rf").
	Symbol string `json:"symbol,omitempty"`
	// Unit is the unit the value is shown in ("lx", "cd/m²", "" for ratios).
	Unit string `json:"unit"`
	// Better says which way is better.
	Better Better `json:"better"`
	// Line explains the measure in one line.
	Line string `json:"line"`
	// Source names the definition: standard and clause, or book and equation.
	Source string `json:"source"`
}
