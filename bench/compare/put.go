package compare

import (
	"fmt"
	"math"

	"dawnsmith/bench/measure"
	"dawnsmith/finding"
	"dawnsmith/lamp/optics"
	"dawnsmith/lamp/predict"
	"dawnsmith/metric"
	"dawnsmith/quantity"
)

// Cell is one lamp's number in a column.
type Cell struct {
	Entry int            `json:"entry"` // index among the entries
	ID    string         `json:"id"`
	Name  string         `json:"name"`
	Value quantity.Value `json:"value"`
	Bound measure.Bound  `json:"bound,omitempty"`
	// Missing says why there is no number; "" when there is one.
	Missing string `json:"missing,omitempty"`
	// How says what was done to bring the number to the terms.
	How string `json:"how,omitempty"`
	// Distance the number holds at, m; 0: none.
	Distance float64 `json:"distance_m,omitempty"`
}

// Column is one measure of all lamps on the same terms, in the lamps' order.
type Column struct {
	Metric   metric.Metric     `json:"metric"`
	Terms    Terms             `json:"terms"`
	Unit     string            `json:"unit"`
	Cells    []Cell            `json:"cells"`
	Findings []finding.Finding `json:"findings,omitempty"`
}

// Put brings a measure of every entry to the terms. Every entry has a cell,
// with a number or the reason why there is none. The error is an *InputError:
// an unknown measure, terms that say too little.
func Put(entries []Entry, key string, t Terms) (Column, error) {
	if t.Where == "" {
		t.Where = AsRead
	}
	if err := t.Check(); err != nil {
		return Column{}, err
	}
	m, ok := measure.Declared(key)
	if !ok {
		return Column{}, bad("metric", fmt.Sprintf("%q", key), "the key of a declared measure", "see the list of measures")
	}
	c := Column{Metric: m, Terms: t, Unit: m.Unit}
	currency := ""
	switch t.Per {
	case PerWatt:
		c.Unit = per(m.Unit, "W")
	case PerArea:
		c.Unit = per(m.Unit, "m²")
	case PerMass:
		c.Unit = per(m.Unit, "kg")
	case PerPrice:
		currency = usualCurrency(entries)
		c.Unit = per(m.Unit, currency)
	}
	for i := range entries {
		cell := Cell{Entry: i, ID: entries[i].ID, Name: entries[i].Name}
		cell.fill(&entries[i], key, t, currency)
		c.Cells = append(c.Cells, cell)
	}
	c.judge(entries, key)
	return c, nil
}

// Table is Put for several measures.
func Table(entries []Entry, keys []string, t Terms) ([]Column, error) {
	var out []Column
	for _, key := range keys {
		c, err := Put(entries, key, t)
		if err != nil {
			return nil, err
		}
		out = append(out, c)
	}
	return out, nil
}

func per(unit, by string) string {
	if unit == "" {
		return "1/" + by
	}
	return unit + "/" + by
}

func usualCurrency(entries []Entry) string {
	count := map[string]int{}
	best := ""
	for _, e := range entries {
		if cur := e.Price.Currency; e.Price.Cents > 0 {
			count[cur]++
			if best == "" || count[cur] > count[best] {
				best = cur
			}
		}
	}
	return best
}

func (c *Cell) miss(format string, args ...any) { c.Missing = fmt.Sprintf(format, args...) }

func (c *Cell) fill(e *Entry, key string, t Terms, currency string) {
	if key == optics.KeyEqualLight && t.Where == SameLux && t.Distance == 0 {
		c.equalLight(e, t.Lux)
	} else {
		c.place(e, key, t)
	}
	if c.Missing == "" {
		c.share(e, t, currency)
	}
	if c.Missing == "" && !c.Value.Finite() {
		c.miss("the number came out as none")
	}
}

// place brings the number to the distance and the level of the terms.
func (c *Cell) place(e *Entry, key string, t Terms) {
	want := t.Distance
	if t.Where == UseDistance {
		want = e.UseDistance
	}
	d, ok := e.nearest(key, want)
	if !ok {
		c.miss("not %s", map[Origin]string{FromPrediction: "predicted", FromMeasurement: "measured", FromSeller: "stated"}[e.Origin])
		return
	}
	c.Value, c.Bound, c.How, c.Distance = d.Value, d.Bound, d.How, d.Distance
	if light[key] && t.Where != AsRead {
		switch {
		case t.Where == UseDistance && want == 0:
			c.miss("its use distance is not known")
			return
		case t.Where == SameLux && t.Distance == 0:
			c.atLux(e, d, t.Lux)
			return
		case want > 0 && !c.carry(e, d, want):
			return
		}
	}
	if t.Where == SameLux && t.Distance > 0 || t.Where == SameLuminance {
		c.dim(e, key, t)
	}
}

// carryLimit is the ratio of distances beyond which a reading is not carried:
// what is unlike an even face grows with it.
const carryLimit = 2.5

// carry brings a reading on the axis to another distance by the law of an even
// face; each e-fold adds 3 % for what a real face differs by.
func (c *Cell) carry(e *Entry, d Datum, want float64) bool {
	switch {
	case d.Distance <= 0:
		c.miss("read at a distance that was not noted")
		return false
	case math.Abs(d.Distance/want-1) < 0.002:
		c.Distance = want
		return true
	case !e.faceKnown():
		c.miss("read at %.0f mm; without the size of its face it cannot be carried to %.0f mm", 1e3*d.Distance, 1e3*want)
		return false
	case math.Abs(math.Log(d.Distance/want)) > math.Log(carryLimit):
		c.miss("read at %.0f mm, too far from %.0f mm to be carried", 1e3*d.Distance, 1e3*want)
		return false
	}
	f := optics.OnAxis(1, e.FaceLength, e.FaceWidth, want) / optics.OnAxis(1, e.FaceLength, e.FaceWidth, d.Distance)
	doubt := measure.Rectangular("", "", 0.03*math.Log(want/d.Distance), d.Value.X*f)
	c.Value = quantity.Combine(d.Value.X*f, quantity.Part{Value: d.Value, Slope: f}, quantity.Part{Value: quantity.Measured(0, doubt.U, "evenness of the face of "+e.ID), Slope: doubt.Slope})
	c.How += fmt.Sprintf("; carried from %.0f to %.0f mm by the law of an even face", 1e3*d.Distance, 1e3*want)
	c.Distance = want
	return true
}

// at is the entry's illuminance on the axis at a distance.
func (e *Entry) at(distance float64) (Cell, bool) {
	var c Cell
	d, ok := e.nearest(predict.MeterLux, distance)
	if !ok {
		c.miss("its illuminance is not known")
		return c, false
	}
	c.Value, c.Bound = d.Value, d.Bound
	return c, c.carry(e, d, distance)
}

// atLux is a light measure in the place where the lamp gives lux: the measure
// over the illuminance read beside it, times lux.
func (c *Cell) atLux(e *Entry, d Datum, lux float64) {
	ref, ok := e.nearest(predict.MeterLux, d.Distance)
	if !ok || ref.Value.X <= 0 {
		c.miss("its illuminance is not known")
		return
	}
	if ref.Distance != d.Distance {
		c.miss("it was read at another distance than the illuminance")
		return
	}
	if most := e.most(); most > 0 && lux > most {
		c.miss("it gives at most %s lx, at its face", quantity.Digits(most, 3))
		return
	}
	c.Bound = measure.Estimate
	if d.Bound != measure.Estimate || ref.Bound != measure.Estimate {
		c.miss("over range: the ratio is not known")
		return
	}
	c.Value = d.Value.Div(ref.Value).Scale(lux)
	c.How += fmt.Sprintf("; where it gives %s lx", quantity.Digits(lux, 4))
	c.Distance = 0
}

// most is the illuminance at the face itself, π·L, lx; 0 when not known.
func (e *Entry) most() float64 {
	l, ok := e.luminance()
	if !ok {
		return 0
	}
	return math.Pi * l.Value.X
}

// luminance is the face's mean luminance: as it stands among the values, else
// from the illuminance and the size.
func (e *Entry) luminance() (Datum, bool) {
	if d, ok := e.nearest(predict.FaceMean, 0); ok && d.Bound == measure.Estimate {
		return d, true
	}
	d, ok := e.nearest(predict.MeterLux, 0)
	if !ok || !e.faceKnown() || d.Distance <= 0 || d.Bound != measure.Estimate {
		return Datum{}, false
	}
	return Datum{Value: d.Value.Scale(1 / optics.OnAxis(1, e.FaceLength, e.FaceWidth, d.Distance))}, true
}

// equalLight is how far before the face the lamp gives lux.
func (c *Cell) equalLight(e *Entry, lux float64) {
	l, ok := e.luminance()
	if !ok || !e.faceKnown() {
		c.miss("without face size and illuminance the distance cannot be told")
		return
	}
	d, err := optics.DistanceFor(lux, l.Value.X, e.FaceLength, e.FaceWidth)
	if err != nil {
		c.miss("it gives at most %s lx, at its face", quantity.Digits(math.Pi*l.Value.X, 3))
		return
	}
	// d rises with L: dd/dL by a small step.
	h := 1e-4 * l.Value.X
	up, err1 := optics.DistanceFor(lux, l.Value.X+h, e.FaceLength, e.FaceWidth)
	down, err2 := optics.DistanceFor(lux, l.Value.X-h, e.FaceLength, e.FaceWidth)
	if err1 != nil || err2 != nil {
		c.miss("it gives %s lx only at its face", quantity.Digits(lux, 4))
		return
	}
	c.Value = quantity.Combine(d, quantity.Part{Value: l.Value, Slope: (up - down) / (2 * h)})
	c.Distance = d
	c.How = fmt.Sprintf("where an even face of its size and luminance gives %s lx", quantity.Digits(lux, 4))
}

// dim turns the lamp down to the terms' level.
func (c *Cell) dim(e *Entry, key string, t Terms) {
	if !dims[key] {
		return
	}
	var have quantity.Value
	want, what := t.Lux, "lx"
	if t.Where == SameLuminance {
		l, ok := e.luminance()
		if !ok {
			c.miss("its face luminance is not known")
			return
		}
		have, want, what = l.Value, t.Luminance, "cd/m²"
	} else {
		at, ok := e.at(t.Distance)
		if !ok {
			c.Missing = at.Missing
			return
		}
		if at.Bound != measure.Estimate {
			c.miss("its illuminance was over range")
			return
		}
		have = at.Value
	}
	if have.X <= 0 {
		c.miss("it gives no light")
		return
	}
	if want > have.X*1.0005 {
		c.miss("it reaches only %s %s", quantity.Digits(have.X, 3), what)
		return
	}
	if c.Bound != measure.Estimate {
		c.miss("only a limit is known")
		return
	}
	c.Value = c.Value.Div(have).Scale(want)
	c.How += fmt.Sprintf("; dimmed to %.0f %%", 100*want/have.X)
}

// share divides by watts, price, area or mass.
func (c *Cell) share(e *Entry, t Terms, currency string) {
	var by quantity.Value
	switch t.Per {
	case PerLamp:
		return
	case PerWatt:
		d, ok := e.nearest(predict.MainsPower, 0)
		if !ok || d.Bound != measure.Estimate || d.Value.X <= 0 {
			c.miss("its power at the plug is not known")
			return
		}
		by = d.Value
		if dimming := t.Where == SameLux && t.Distance > 0 || t.Where == SameLuminance; dimming {
			w := Cell{Value: d.Value}
			if w.dim(e, predict.MainsPower, t); w.Missing != "" {
				c.Missing = w.Missing
				return
			}
			by = w.Value
		}
	case PerPrice:
		if e.Price.Cents <= 0 {
			c.miss("its price is not known")
			return
		}
		if e.Price.Currency != currency {
			c.miss("its price is in %s, the others' in %s; currencies are not converted", e.Price.Currency, currency)
			return
		}
		by = quantity.Exact(e.Price.Amount())
	case PerArea:
		if !e.faceKnown() {
			c.miss("the size of its face is not known")
			return
		}
		by = quantity.Exact(e.FaceLength * e.FaceWidth)
	case PerMass:
		d, ok := e.nearest(predict.LampMass, 0)
		if !ok || d.Value.X <= 0 {
			c.miss("its mass is not known")
			return
		}
		by = d.Value
	}
	c.Value = c.Value.Div(by)
}

// judge adds what is to be said of the column as a whole.
func (c *Column) judge(entries []Entry, key string) {
	if light[key] && c.Terms.Where == AsRead {
		lo, hi, unknown := math.Inf(1), 0.0, 0
		for _, cell := range c.Cells {
			switch {
			case cell.Missing != "":
			case cell.Distance <= 0:
				unknown++
			default:
				lo, hi = math.Min(lo, cell.Distance), math.Max(hi, cell.Distance)
			}
		}
		if hi > lo*1.005 || unknown > 0 && len(c.Cells) > 1 {
			what := fmt.Sprintf("the lamps were read at distances from %.0f to %.0f mm", 1e3*lo, 1e3*hi)
			if unknown > 0 {
				what = fmt.Sprintf("%d of %d lamps were read at a distance that nobody noted", unknown, len(c.Cells))
			}
			c.Findings = append(c.Findings, finding.Finding{
				Severity: finding.Warn, Key: "compare.distances_differ", What: what,
				Cause:  "light falls with distance; such numbers do not compare the lamps",
				Mend:   "compare at the same distance, or each at its use distance",
				Source: "definition of illuminance",
			})
		}
	}
	mixed := map[Origin]bool{}
	for _, cell := range c.Cells {
		if cell.Missing == "" {
			mixed[entries[cell.Entry].Origin] = true
		}
	}
	if mixed[FromSeller] && len(mixed) > 1 {
		c.Findings = append(c.Findings, finding.Finding{
			Severity: finding.Warn, Key: "compare.stated_numbers",
			What:   "some numbers are a seller's own and carry no uncertainty",
			Cause:  "nobody else has measured them",
			Mend:   "measure the lamp, or mark the number as stated wherever it is shown",
			Source: "common practice, no source",
		})
	}
}
