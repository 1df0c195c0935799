package edition

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"dawnsmith/bench/compare"
	"dawnsmith/bench/measure"
	"dawnsmith/day/dose"
	"dawnsmith/lamp/predict"
	"dawnsmith/quantity"
)

// Answer is what a reader asks of one lamp, in a paragraph that stands alone.
type Answer struct {
	Lamp string `json:"lamp"`
	Text string `json:"text"`
	// Lux at the use distance, with its standard uncertainty; 0: not known.
	Lux      float64 `json:"lux_at_use_distance,omitempty"`
	U        float64 `json:"u,omitempty"`
	Distance float64 `json:"use_distance_m,omitempty"`
	// Minutes by the linear rule; 0: no tested protocol covers this light.
	Minutes float64 `json:"minutes,omitempty"`
	// At maps lux (10 000, 5000, 2500 and the target) to the distance, m, where
	// the lamp gives it.
	At map[string]float64 `json:"distance_m_for_lux,omitempty"`
	// Enough tells whether the target is reached at the use distance: "yes",
	// "no", or "not certain" within k = 2; "" when it cannot be told.
	Enough string `json:"enough,omitempty"`
}

func mm(x float64) string { return fmt.Sprintf("%.0f\u202fmm", 1e3*x) }

// answer makes the paragraph.
func answer(l Lamp, target float64) Answer {
	a := Answer{Lamp: l.Entry.ID, Distance: l.Entry.UseDistance}
	var says []string
	say := func(f string, x ...any) { says = append(says, fmt.Sprintf(f, x...)) }
	name := capital(l.Entry.Name)
	put := func(d float64) (compare.Cell, bool) {
		col, err := compare.Put([]compare.Entry{l.Entry}, predict.MeterLux, compare.Terms{Where: compare.SameDistance, Distance: d})
		if err != nil || col.Cells[0].Missing != "" || col.Cells[0].Bound != measure.Estimate {
			return compare.Cell{}, false
		}
		return col.Cells[0], true
	}
	use, known := compare.Cell{}, false
	if a.Distance > 0 {
		use, known = put(a.Distance)
	}
	switch {
	case a.Distance == 0:
		say("%s: nobody said at what distance it is used, so no minutes can be given.", name)
	case !known:
		say("%s: its light at %s, where it is meant to be used, is not known.", name, mm(a.Distance))
	default:
		a.Lux, a.U = use.Value.X, use.Value.U()
		say("%s gives %s lx at %s, the meter facing it.", name, use.Value, mm(a.Distance))
		if m, err := dose.Photopic(a.Lux); err == nil {
			a.Minutes = m.Minutes
			if m.Minutes > 0 {
				say("By the linear rule between the tested protocols that is %.0f minutes.", m.Minutes)
			} else {
				say("No tested protocol covers so little light, so no minutes are given.")
			}
		}
		switch {
		case a.Lux-2*a.U >= target:
			a.Enough = "yes"
			say("That is enough for %s lx.", quantity.Digits(target, 4))
		case a.Lux+2*a.U < target:
			a.Enough = "no"
			say("That is less than %s lx.", quantity.Digits(target, 4))
		default:
			a.Enough = "not certain"
			say("Whether it reaches %s lx there, the uncertainty leaves open.", quantity.Digits(target, 4))
		}
	}
	if at := levelsAt(l.Entry, target, use, known); len(at) > 0 {
		a.At = map[string]float64{}
		var parts []string
		for _, x := range at {
			a.At[fmt.Sprint(x.lux)] = x.d
			if x.d > 0 {
				parts = append(parts, fmt.Sprintf("%s lx at %s", quantity.Digits(x.lux, 4), mm(math.Round(x.d*100)/100)))
			} else {
				parts = append(parts, fmt.Sprintf("%s lx nowhere, not even at the face", quantity.Digits(x.lux, 4)))
				delete(a.At, fmt.Sprint(x.lux))
			}
		}
		say("By the law of an even face it gives %s.", strings.Join(parts, ", "))
	}
	a.Text = strings.Join(says, " ")
	return a
}

type luxAt struct{ lux, d float64 }

// levelsAt finds the distances where a lamp gives the levels that readers ask
// for, from the luminance that an even face of its size would need for what was
// read; none when the size or the light is not known.
func levelsAt(e compare.Entry, target float64, use compare.Cell, known bool) []luxAt {
	if !(e.FaceLength > 0 && e.FaceWidth > 0) {
		return nil
	}
	d, lux := e.UseDistance, use.Value.X
	if !known {
		ds := e.Values[predict.MeterLux]
		if len(ds) == 0 || ds[0].Distance <= 0 || ds[0].Bound != measure.Estimate {
			return nil
		}
		d, lux = ds[0].Distance, ds[0].Value.X
	}
	f := dose.Face{Width: e.FaceLength, Height: e.FaceWidth, Luminance: 1}
	l, err := f.LuminanceFor(lux, d)
	if err != nil {
		return nil
	}
	f.Luminance = l
	levels := []float64{10000, 5000, 2500}
	if target != 10000 && target != 5000 && target != 2500 {
		levels = append([]float64{target}, levels...)
	}
	var out []luxAt
	for _, x := range levels {
		at, err := f.Distance(x)
		switch {
		case errors.Is(err, dose.ErrTooDim):
			at = 0
		case err != nil:
			continue
		}
		out = append(out, luxAt{x, at})
	}
	return out
}

// Answers are the short answers, in the lamps' order.
func (e *Edition) Answers() []Answer { return append([]Answer(nil), e.answers...) }
