package search

import (
	"dawnsmith/lamp/brief"
	"dawnsmith/lamp/part"
	"dawnsmith/lamp/predict"
	"dawnsmith/quantity"
)

// The keys of the two price metrics; their unit is the currency.
const (
	PriceFirst = "price_first_lamp"
	PriceNext  = "price_next_lamp"
)

// Bound says which side of a limit is wanted.
type Bound string

const (
	// AtLeast: the number must reach the limit.
	AtLeast Bound = "at least"
	// AtMost: the number must not pass the limit.
	AtMost Bound = "at most"
)

// Target is one limit of a brief.
type Target struct {
	Metric string // key of the measure it binds
	Name   string // with plane and mean or peak, for people
	Field  string // where it stands in the brief
	Bound  Bound
	Limit  float64 // in the metric's unit
	dim    quantity.Dimension
	money  string // currency when it is a price
}

// LimitText shows the limit with its unit.
func (t Target) LimitText() string { return t.Text(t.Limit) }

// Text shows a number of the target's kind with its unit.
func (t Target) Text(x float64) string {
	if t.money != "" {
		return part.Money{Cents: int64(x*100 + 0.5), Currency: t.money}.String()
	}
	n := quantity.Digits(x, 3)
	m, _ := predict.Declared(t.Metric)
	switch {
	case t.dim == quantity.Ratio:
		return quantity.Digits(x*100, 3) + "\u202f%"
	case m.Unit == "":
		return n
	}
	return n + "\u202f" + m.Unit
}

// Targets lists the limits that a brief sets, in the order of the document.
func Targets(b brief.Brief) []Target {
	var out []Target
	add := func(limit float64, key, name, field string, bound Bound, dim quantity.Dimension) {
		if limit > 0 {
			out = append(out, Target{Metric: key, Name: name, Field: "wanted." + field, Bound: bound, Limit: limit, dim: dim})
		}
	}
	w := b.Wanted
	add(w.MeterIlluminance, predict.MeterLux, "illuminance at the meter, facing the lamp", "meter_illuminance_min", AtLeast, quantity.Illuminance)
	add(w.EyeMelanopic, predict.EyeMelanopic, "melanopic EDI at the eye, vertical", "eye_melanopic_edi_min", AtLeast, quantity.Illuminance)
	add(w.FaceLuminance, predict.FaceMean, "mean luminance of the face", "face_mean_luminance_max", AtMost, quantity.Luminance)
	add(w.Ripple, predict.Ripple, "ripple of the face", "ripple_max", AtMost, quantity.Ratio)
	add(w.CCTLow, predict.CCT, "colour temperature", "cct_min", AtLeast, quantity.ColourTemperature)
	add(w.CCTHigh, predict.CCT, "colour temperature", "cct_max", AtMost, quantity.ColourTemperature)
	add(w.Ra, predict.Ra, "general colour rendering Ra", "ra_min", AtLeast, quantity.Number)
	add(w.Length*1000, predict.FaceLength, "length of the tray, inside", "tray_length_max", AtMost, quantity.Length)
	add(w.Depth*1000, predict.TrayDepth, "depth of the tray", "tray_depth_max", AtMost, quantity.Length)
	add(w.MainsPower, predict.MainsPower, "mains power", "mains_power_max", AtMost, quantity.Power)
	add(w.Mass, predict.LampMass, "mass of the hanging lamp", "mass_max", AtMost, quantity.Mass)
	if w.Price.Cents > 0 {
		out = append(out, Target{Metric: PriceFirst, Name: "price of the first lamp, without tools", Field: "wanted.first_lamp_price_max",
			Bound: AtMost, Limit: w.Price.Amount(), money: w.Price.Currency})
	}
	return out
}

// Check is a target held against a number.
type Check struct {
	Target
	Got float64
	// Short is how far the number misses the target, relative to the limit;
	// 0 when it is met.
	Short float64
}

// Met reports whether the target is reached.
func (c Check) Met() bool { return c.Short == 0 }

// Judge holds numbers (keyed as predict's metrics, with PriceFirst) against
// the targets.
func Judge(ts []Target, numbers map[string]float64) []Check {
	out := make([]Check, len(ts))
	for i, t := range ts {
		out[i] = Check{Target: t, Got: numbers[t.Metric], Short: t.short(numbers[t.Metric])}
	}
	return out
}

func (t Target) short(got float64) float64 {
	d := (got - t.Limit) / t.Limit
	if t.Bound == AtLeast {
		d = -d
	}
	// A hair's breadth is met: limits are round numbers and models are not.
	if d <= 1e-9 {
		return 0
	}
	return d
}
