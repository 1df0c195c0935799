package measure

import (
	"fmt"
	"slices"
	"strings"

	"dawnsmith/finding"
	"dawnsmith/light/spectrum"
	"dawnsmith/quantity"
)

// Bound says whether a number is an estimate or only a limit.
type Bound int

const (
	// Estimate is the usual case.
	Estimate Bound = iota
	// AtLeast: the meter was over range; the truth is this or more.
	AtLeast
	// AtMost: nothing was seen above the meter's floor.
	AtMost
)

var boundNames = [...]string{"estimate", "at least", "at most"}

// String gives estimate, at least or at most.
func (b Bound) String() string { return boundNames[b] }

// MarshalText writes the name.
func (b Bound) MarshalText() ([]byte, error) {
	if b < Estimate || b > AtMost {
		return nil, fmt.Errorf("bound %d is not one of %s", int(b), strings.Join(boundNames[:], ", "))
	}
	return []byte(b.String()), nil
}

// UnmarshalText reads a name.
func (b *Bound) UnmarshalText(text []byte) error {
	i := slices.Index(boundNames[:], string(text))
	if i < 0 {
		return fmt.Errorf("bound %q is not one of %s", text, strings.Join(boundNames[:], ", "))
	}
	*b = Bound(i)
	return nil
}

// Measured is one measured number.
type Measured struct {
	// Key is the metric; Value is in the metric's unit.
	Key   string         `json:"key"`
	Value quantity.Value `json:"measured"`
	Bound Bound          `json:"bound,omitempty"`
	// Distance belongs to an illuminance, m; 0 where it has none or it was
	// not noted.
	Distance float64 `json:"distance_m,omitempty"`
	// Freedom is the degrees of freedom of those terms, by source, that were
	// found from few readings.
	Freedom map[string]float64 `json:"freedom,omitempty"`
	// How says in words how the number was made.
	How string `json:"how"`
	// Run is the id of the run it comes from.
	Run string `json:"run,omitempty"`
}

// Degrees is the effective degrees of freedom (Welch–Satterthwaite), +Inf
// when nothing limits them.
func (m Measured) Degrees() float64 { return welchSatterthwaite(m.Value, m.Freedom) }

// Expanded gives the coverage factor of a level of confidence and the
// expanded uncertainty, in the metric's unit.
func (m Measured) Expanded(level float64) (k, u float64) {
	k = Student(level, m.Degrees())
	return k, k * m.Value.U()
}

func (b Budget) measured(key, how, run string) Measured {
	return Measured{Key: key, Value: b.Value(), Freedom: b.freedom(), How: how, Run: run}
}

// Record is what a run, or all runs of a unit together, say about it.
type Record struct {
	Run        string     `json:"run"`
	Kind       Kind       `json:"kind"`
	Subject    Subject    `json:"subject"`
	Instrument string     `json:"instrument"` // its id
	Conditions Conditions `json:"conditions"`
	// Calibration is that of the instrument, as used.
	Calibration Calibration `json:"calibration"`
	// Values are the numbers, each key once, in the order made.
	Values []Measured `json:"values"`
	// Budget is that of the run's main number.
	Budget *Budget `json:"budget,omitempty"`
	// Spectrum is the lamp's, background taken off, mean of the settled part.
	Spectrum  *spectrum.Spectrum `json:"spectrum,omitempty"`
	Quantity  spectrum.Quantity  `json:"quantity"`
	Stability *Stability         `json:"stability,omitempty"`
	Average   *Average           `json:"average,omitempty"`
	Fit       *Fit               `json:"fit,omitempty"`
	// Assumed lists in words what stands for something not stated.
	Assumed  []string          `json:"assumed,omitempty"`
	Findings []finding.Finding `json:"findings,omitempty"`
}

// Value finds a number by its metric key; false when there is none.
func (r Record) Value(key string) (Measured, bool) {
	i := slices.IndexFunc(r.Values, func(m Measured) bool { return m.Key == key })
	if i < 0 {
		return Measured{}, false
	}
	return r.Values[i], true
}

// Merge lays the records of one unit together. Of a key that several have,
// the one with the least relative uncertainty stays, estimates before limits;
// of equals the later record's. Illuminances at different distances are not
// the same number: the one at the distance most records share stays, and the
// others are told. What was left aside is listed in words.
func Merge(records ...Record) (Record, []string, error) {
	if len(records) == 0 {
		return Record{}, nil, bad("records", "none", "one or more", "")
	}
	out := records[len(records)-1]
	out.Values, out.Findings, out.Assumed = nil, nil, nil
	out.Budget, out.Fit, out.Stability, out.Average, out.Spectrum = nil, nil, nil, nil, nil
	var aside []string
	best := map[string]int{}
	for _, r := range records {
		if r.Subject.Lamp != out.Subject.Lamp || r.Subject.Serial != out.Subject.Serial {
			return Record{}, nil, bad("records", fmt.Sprintf("%s and %s", r.Subject, out.Subject), "runs of one unit", "")
		}
		for _, m := range r.Values {
			i, seen := best[m.Key]
			if !seen {
				best[m.Key] = len(out.Values)
				out.Values = append(out.Values, m)
				continue
			}
			keep, drop := out.Values[i], m
			if better(m, keep) {
				keep, drop = m, keep
			}
			out.Values[i] = keep
			aside = append(aside, fmt.Sprintf("%s of run %s (%s) is left aside for that of run %s", m.Key, drop.Run, drop.Value, keep.Run))
		}
		out.Findings = append(out.Findings, r.Findings...)
		for _, a := range r.Assumed {
			if !slices.Contains(out.Assumed, a) {
				out.Assumed = append(out.Assumed, a)
			}
		}
		if r.Spectrum != nil {
			out.Spectrum, out.Quantity = r.Spectrum, r.Quantity
		}
		if r.Stability != nil && (out.Stability == nil || r.Stability.Stable) {
			out.Stability, out.Average = r.Stability, r.Average
		}
		if r.Fit != nil {
			out.Fit = r.Fit
		}
		if r.Budget != nil && out.Budget == nil {
			out.Budget = r.Budget
		}
	}
	finding.Sort(out.Findings)
	out.Findings = slices.CompactFunc(out.Findings, func(a, b finding.Finding) bool { return a.Key == b.Key && a.What == b.What })
	return out, aside, nil
}

func better(a, b Measured) bool {
	if (a.Bound == Estimate) != (b.Bound == Estimate) {
		return a.Bound == Estimate
	}
	ra, rb := relative(a.Value), relative(b.Value)
	// Within a tenth of each other the later reading counts.
	return ra <= 1.1*rb
}

func relative(v quantity.Value) float64 {
	if v.X == 0 {
		return v.U()
	}
	return v.U() / abs(v.X)
}

func abs(x float64) float64 {
	if x < 0 {
		return -x
	}
	return x
}
