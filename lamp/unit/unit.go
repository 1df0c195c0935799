// Package unit holds the lamp that was really built: one unit, with its serial,
// against the design it was built from, what was built otherwise, what was
// repaired, and what was read on it.
package unit

import (
	"fmt"
	"math"
	"strings"

	"dawnsmith/lamp"
	"dawnsmith/lamp/part"
)

// Unit is a unit document. The design is carried along in the revision it had
// when the unit was begun, so that a later revision changes no built lamp.
type Unit struct {
	Schema int    `doc:"schema,required"`
	Serial string `doc:"serial,required"`
	Note   string `doc:"note"`
	// Built is the date of building, 2026-12-01; "" while it is not finished.
	Built string `doc:"built"`
	// SupplySerial is what stands on the supply that belongs to it.
	SupplySerial string `doc:"supply_serial"`
	// Changes are what differs from the design, in the order in which it came
	// about: built otherwise, or changed since.
	Changes []Change `doc:"change"`
	// Repairs leave the design as it is.
	Repairs  []Repair  `doc:"repair"`
	Readings []Reading `doc:"reading"`
	// Parts are those of this unit as measured, laid over the design's own: a
	// strip with its measured watts, a sheet with its measured share.
	Parts  part.Set  `doc:"as_measured"`
	Design lamp.Spec `doc:"design,required"`
}

// Change is one thing that differs from the design.
type Change struct {
	Date  string `doc:"date"`
	Field string `doc:"field,required"` // a key of the lamp document: "rows", "sheet"
	Value string `doc:"value,required"` // as in the lamp document; "none" takes an optional part away
	Why   string `doc:"why"`
	// AsBuilt marks what was built otherwise from the start.
	AsBuilt bool `doc:"as_built"`
}

// Repair is something mended without changing what the lamp is.
type Repair struct {
	Date string `doc:"date"`
	What string `doc:"what,required"`
}

// Reading is one reading of the commissioning sheet, or a later one.
type Reading struct {
	Date string `doc:"date"`
	ID   string `doc:"id"` // as on the sheet: "R6"
	Name string `doc:"name"`
	// Metric is the prediction's key that it answers, if any.
	Metric string  `doc:"metric"`
	Value  float64 `doc:"value,required"` // in Unit
	Unit   string  `doc:"unit,required"`
	// Distance is from the face to the meter, for light, m.
	Distance float64 `doc:"distance" dim:"length"`
	// Expected and Tolerance are those of the sheet, in Unit, for this unit as
	// built; Bound is "near", "at least" or "at most".
	Expected  float64 `doc:"expected"`
	Tolerance float64 `doc:"tolerance"`
	Bound     string  `doc:"bound"`
}

// Fault is one wrong entry of a unit document.
type Fault struct{ Key, Found, Allowed string }

// Error gives one line for a person.
func (f *Fault) Error() string {
	return fmt.Sprintf("%s is %s; allowed is %s", f.Key, f.Found, f.Allowed)
}

// Check returns a *Fault for the first entry that makes no sense by itself;
// whether the design can be built is told by lamp.Build.
func (u Unit) Check() error {
	if s := strings.TrimSpace(u.Serial); s == "" || len(s) > 40 || strings.ContainsAny(s, "/\\\n\r\t") {
		return &Fault{"serial", fmt.Sprintf("%q", u.Serial), "1 to 40 characters without slashes"}
	}
	dates := []struct{ key, date string }{{"built", u.Built}}
	for i, c := range u.Changes {
		key := fmt.Sprintf("change[%d].", i+1)
		dates = append(dates, struct{ key, date string }{key + "date", c.Date})
		if strings.TrimSpace(c.Field) == "" {
			return &Fault{key + "field", "empty", "a key of the lamp document, such as rows or sheet"}
		}
		if strings.TrimSpace(c.Value) == "" {
			return &Fault{key + "value", "empty", `what it is now; "none" takes an optional part away`}
		}
	}
	for i, r := range u.Repairs {
		key := fmt.Sprintf("repair[%d].", i+1)
		dates = append(dates, struct{ key, date string }{key + "date", r.Date})
		if strings.TrimSpace(r.What) == "" {
			return &Fault{key + "what", "empty", "what was mended, in a few words"}
		}
	}
	for i, r := range u.Readings {
		key := fmt.Sprintf("reading[%d].", i+1)
		dates = append(dates, struct{ key, date string }{key + "date", r.Date})
		for name, x := range map[string]float64{"value": r.Value, "distance": r.Distance, "expected": r.Expected, "tolerance": r.Tolerance} {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				return &Fault{key + name, fmt.Sprint(x), "a number"}
			}
		}
		if strings.TrimSpace(r.Unit) == "" {
			return &Fault{key + "unit", "empty", "the unit of the value, such as lx or A"}
		}
		switch r.Bound {
		case "", "near", "at least", "at most":
		default:
			return &Fault{key + "bound", fmt.Sprintf("%q", r.Bound), `"near", "at least" or "at most"`}
		}
	}
	for _, d := range dates {
		if d.date != "" && !isDate(d.date) {
			return &Fault{d.key, fmt.Sprintf("%q", d.date), "a date such as 2026-12-01, or nothing"}
		}
	}
	return nil
}

// isDate reports whether s is a day of the calendar as year-month-day.
func isDate(s string) bool {
	var y, m, d int
	if len(s) != 10 || s[4] != '-' || s[7] != '-' {
		return false
	}
	for _, p := range []struct {
		at, n int
		out   *int
	}{{0, 4, &y}, {5, 2, &m}, {8, 2, &d}} {
		for _, c := range s[p.at : p.at+p.n] {
			if c < '0' || c > '9' {
				return false
			}
			*p.out = *p.out*10 + int(c-'0')
		}
	}
	days := [...]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}
	if m < 1 || m > 12 || y < 1 {
		return false
	}
	last := days[m-1]
	if m == 2 && y%4 == 0 && (y%100 != 0 || y%400 == 0) {
		last = 29
	}
	return d >= 1 && d <= last
}

// Within says whether a reading passes what was expected; ok is false where
// nothing was.
func (r Reading) Within() (passed, ok bool) {
	switch r.Bound {
	case "near":
		return math.Abs(r.Value-r.Expected) <= r.Tolerance, true
	case "at least":
		return r.Value >= r.Expected, true
	case "at most":
		return r.Value <= r.Expected, true
	}
	return false, false
}
