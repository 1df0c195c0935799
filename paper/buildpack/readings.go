package buildpack

import (
	"fmt"
	"math"
	"strings"

	"dawnsmith/lamp"
	"dawnsmith/lamp/heat"
	"dawnsmith/lamp/optics"
	"dawnsmith/lamp/predict"
	"dawnsmith/quantity"
)

// Bound says which side of Expected a reading must lie on.
type Bound string

const (
	// Near: within Tolerance of Expected.
	Near Bound = "near"
	// Above: at least Expected.
	Above Bound = "at least"
	// Below: at most Expected.
	Below Bound = "at most"
)

// Reading is one line of the commissioning sheet.
type Reading struct {
	ID   string `json:"id"` // "R4"
	Name string `json:"name"`
	// Expected and Tolerance in Unit; Tolerance is 0 for a one-sided line.
	Expected  float64 `json:"expected"`
	Tolerance float64 `json:"tolerance,omitempty"`
	Unit      string  `json:"unit"`
	Bound     Bound   `json:"bound"`
	How       string  `json:"how"` // how to read it rightly
	// Metric is the prediction's key that the reading answers, if any.
	Metric string `json:"metric,omitempty"`
	// Distance is from the face to the meter on the axis, m, for light.
	Distance float64 `json:"distance_m,omitempty"`
}

// Text shows what is expected, such as "1.83 ± 0.28 A" or "above 1 MΩ".
func (r Reading) Text() string {
	switch r.Bound {
	case Above:
		return "above " + trim(quantity.Digits(r.Expected, 2)) + "\u202f" + r.Unit
	case Below:
		return "below " + trim(quantity.Digits(r.Expected, 2)) + "\u202f" + r.Unit
	}
	return quantity.FormatUncertain(r.Expected, r.Tolerance) + "\u202f" + r.Unit
}

// within says whether a reading may pass.
func (r Reading) Within(x float64) bool {
	switch r.Bound {
	case Above:
		return x >= r.Expected
	case Below:
		return x <= r.Expected
	}
	return math.Abs(x-r.Expected) <= r.Tolerance
}

// value is a number of the prediction with its expanded uncertainty (k = 2), 0
// when none was worked out.
func (p *Pack) value(key string) (x, u float64) {
	if v, ok := p.in.Prediction.Values[key]; ok {
		return v.X, 2 * v.U()
	}
	return p.in.Prediction.Numbers[key], 0
}

// alike begins the How of a reading taken like the one before it.
const alike = "As before"

// leastShare is the smallest tolerance for a current, relative (common
// practice): a fault shows as more than that.
const leastShare = 0.15

// takeReadings works out the commissioning sheet.
func (p *Pack) takeReadings() ([]Reading, error) {
	l := p.lamp()
	var out []Reading
	add := func(x Reading) {
		x.ID = fmt.Sprintf("R%d", len(out)+1)
		out = append(out, x)
	}
	for c := 1; c < len(p.plan.Conductors); c++ {
		add(Reading{Name: fmt.Sprintf("resistance, plus to %s, lead unplugged", p.plan.Conductors[c].Name), Expected: 1, Unit: "kΩ", Bound: Above,
			How: "Multimeter on ohms, lamp unplugged from everything. LEDs block the meter's small voltage, so the reading is high and may climb slowly; a beep or a few ohms is a short."})
	}
	add(Reading{Name: "resistance, plus to tray", Expected: 1, Unit: "MΩ", Bound: Above,
		How: "Touch bare metal: an edge, a screw, a scratched spot; paint and anodising insulate and would fool you. Many meters show OL for this."})
	for c := 1; c < len(p.plan.Conductors); c++ {
		add(Reading{Name: fmt.Sprintf("resistance, %s to tray", p.plan.Conductors[c].Name), Expected: 1, Unit: "MΩ", Bound: Above, How: alike + ", on bare metal."})
	}
	v, uv := l.Supply.Voltage.X, math.Max(2*l.Supply.Voltage.U(), 0.02*l.Supply.Voltage.X)
	add(Reading{Name: "supply voltage, nothing connected", Expected: v, Tolerance: uv, Unit: "V", Bound: Near,
		How: "DC volts; red probe on the contact that goes to the lamp's plus. A minus sign means that the polarity is the other way round."})
	amps, ua := p.value(predict.SupplyCurrent)
	add(Reading{Name: "current, first power-up, limited", Expected: limitAmps(amps), Unit: "A", Bound: Below,
		How: "All rows glow, dim and alike; with a bulb in series the bulb stays dark or glows faintly. A bright bulb means a short."})
	full := "Every channel full on, after a minute."
	if l.Dimmer != nil {
		full = "Dimmer at full, every channel on, after a minute."
	}
	add(Reading{Name: "current, full power", Expected: amps, Tolerance: math.Max(ua, leastShare*amps), Unit: "A", Bound: Near, Metric: predict.SupplyCurrent,
		How: full + " Meter in series on its 10 A range; put the leads back to volts afterwards, or the next reading is a short."})
	near, far := p.pads()
	_, drop := p.value(predict.LeadDrop)
	uPad := math.Hypot(uv, math.Hypot(drop, 0.05))
	add(Reading{Name: "voltage at the pads of row 1, wired end", Expected: near, Tolerance: uPad, Unit: "V", Bound: Near,
		How: "Full power. Thin probe tips on plus and minus of the same row end; a slip of the probe is a short, so keep one hand still."})
	add(Reading{Name: fmt.Sprintf("voltage at the pads of row %d, far end", l.Spec.Rows), Expected: far, Tolerance: uPad, Unit: "V", Bound: Near,
		How: "The same at the last row. Far below the expected value: a bad joint or a wire too thin on the way."})
	p.temperatures(add)
	p.light(add)
	return out, nil
}

// limitAmps is the setting of a current-limited supply for the first power-up:
// 15 % of the full current, rounded down to two digits, at least 0.05 A.
func limitAmps(full float64) float64 {
	x := 0.15 * full
	if x < 0.05 {
		return 0.05
	}
	e := math.Pow(10, math.Floor(math.Log10(x))-1)
	return math.Floor(x/e+1e-9) * e
}

// pads gives the voltages at the first and the last row's pads, V.
func (p *Pack) pads() (near, far float64) {
	rows := p.in.Prediction.Circuit.Rows
	v := func(row int, last bool) float64 {
		u := rows[row].First.V
		if len(u) == 0 {
			return 0
		}
		if last {
			return u[len(u)-1]
		}
		return u[0]
	}
	return v(0, false), v(len(rows)-1, true)
}

func (p *Pack) temperatures(add func(Reading)) {
	l, r := p.lamp(), p.in.Prediction.Result
	hot, uh := p.value(predict.StripTemp)
	add(Reading{Name: fmt.Sprintf("hottest strip, beside an LED in the middle of row %d", r.Heat.HotRow+1), Expected: hot, Tolerance: math.Max(uh, 3), Unit: "°C", Bound: Near, Metric: predict.StripTemp,
		How: fmt.Sprintf("After %s, sheet on, lamp where it will hang, air at the lamp %s. Wire probe under a dab of tape, led out under the sheet.", p.soak(), short(l.Spec.Place.Air, quantity.Temperature, 3))})
	back, ub := p.value(predict.BackTemp)
	add(Reading{Name: "back of the tray, hottest place", Expected: back, Tolerance: math.Max(ub, 3), Unit: "°C", Bound: Near, Metric: predict.BackTemp,
		How: "An infrared thermometer reads bare metal far too low: aim at matt tape or matt paint, or use the wire probe."})
	if l.Sheet != nil {
		sheet, us := p.value(predict.SheetTemp)
		add(Reading{Name: "sheet, middle", Expected: sheet, Tolerance: math.Max(us, 3), Unit: "°C", Bound: Near, Metric: predict.SheetTemp, How: "Probe pressed on lightly; plastic does not fool an infrared thermometer."})
	}
	limit := l.Supply.CaseLimit
	if limit == 0 {
		limit = 273.15 + 70
	}
	add(Reading{Name: "supply's case, hottest place", Expected: limit - 273.15 - 10, Unit: "°C", Bound: Below,
		How: fmt.Sprintf("After the same time, lying free as in use. Its limit is %s; ten kelvin are kept in hand.", short(limit, quantity.Temperature, 3))})
}

// soak is how long to wait before temperatures are read, in words.
func (p *Pack) soak() string {
	in := p.in.Prediction.HeatInput
	s := 7200.0
	if w, err := heat.Warm(&in); err == nil && w.Soak > 0 {
		s = math.Max(3600, w.Soak)
	}
	return short(math.Ceil(s/900)*900, quantity.Time, 3)
}

// light adds the illuminance at stated distances: the brief's own, and two
// others found from it by the face's geometry.
func (p *Pack) light(add func(Reading)) {
	l := p.lamp()
	own := l.Spec.Place.MeterDistance
	e, u := p.value(predict.MeterLux)
	at := func(d float64) float64 {
		return optics.FaceIlluminance(1, l.Tray.Length, l.Tray.Width, optics.Target{Position: optics.Vec{Z: d}, Normal: optics.Vec{Z: -1}})
	}
	for i, d := range distances(own) {
		how := alike + ", at this distance."
		if i == 0 {
			how = "Lamp warm (half an hour), room dark or its own reading subtracted. Meter level with the middle of the face, its dome turned to the lamp; measure from sheet to dome with a rule. Dark clothes; stand aside."
		}
		k := at(d) / at(own)
		tol := math.Max(u*k, 0.1*e*k)
		metric := ""
		if d == own {
			metric = predict.MeterLux
		}
		add(Reading{Name: fmt.Sprintf("illuminance on the axis, %s from the sheet", mm(d)), Expected: e * k, Tolerance: tol, Unit: "lx", Bound: Near, Metric: metric, Distance: d, How: how})
	}
	x, ux := p.value(predict.EyeLux)
	if x > 0 {
		add(Reading{Name: "illuminance at the eye's place, meter upright", Expected: x, Tolerance: math.Max(ux, 0.1*x), Unit: "lx", Bound: Near, Metric: predict.EyeLux,
			How: fmt.Sprintf("Where your eyes will be, %s from the middle of the face, the dome facing level ahead as you look. A meter has no brow: if your brow hides part of the face it reads more than your eye gets.", mm(l.Spec.Place.EyeDistance))})
	}
}

// distances are the meter's own and two usual others, m.
func distances(own float64) []float64 {
	out := []float64{own}
	for _, d := range []float64{0.3, 0.6, 0.9} {
		if math.Abs(d-own) > 0.05 && len(out) < 3 {
			out = append(out, d)
		}
	}
	return out
}

// mm writes a length given in m in millimetres, to a tenth where it matters.
func mm(m float64) string {
	x := math.Round(m*1e4) / 10
	if x == math.Round(x) {
		return quantity.Decimals(x, 0) + "\u202fmm"
	}
	return quantity.Decimals(x, 1) + "\u202fmm"
}

// trim takes off the zeros that end a decimal fraction.
func trim(num string) string {
	if !strings.Contains(num, ".") {
		return num
	}
	return strings.TrimRight(strings.TrimRight(num, "0"), ".")
}

// short writes an SI number in its dimension's unit with at most n digits.
func short(si float64, d quantity.Dimension, n int) string {
	num, unit, _ := strings.Cut(quantity.Format(si, d, n), "\u202f")
	if unit == "" {
		return trim(num)
	}
	if i := strings.LastIndex(quantity.Format(si, d, n), "\u202f"); i >= 0 { // thousands are parted by the same space
		num, unit = quantity.Format(si, d, n)[:i], quantity.Format(si, d, n)[i+len("\u202f"):]
	}
	return trim(num) + "\u202f" + unit
}

// bareMM is the same without the unit, for tables whose head carries it.
func bareMM(m float64) string {
	s := mm(m)
	return s[:len(s)-len("\u202fmm")]
}

// sheetSize is what to cut the sheet to, m: inner size less 1 mm for each
// begun 300 mm, since plastics grow with heat (7e-5/K for acrylic).
func sheetSize(l lamp.Lamp) (length, width float64) {
	less := func(x float64) float64 { return x - 0.001*math.Ceil(x/0.3-1e-9) }
	return less(l.Tray.Length), less(l.Tray.Width)
}
