package report

import (
	"fmt"
	"math"
	"slices"

	"dawnsmith/internal/app"
	"dawnsmith/lamp/circuit"
	"dawnsmith/lamp/predict"
	"dawnsmith/light/flicker"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/figure"
	"dawnsmith/paper/portrait"
)

// Target is the melanopic EDI at the eye that the brief wants, or the usual one,
// lx.
func Target(ans *app.Answer) float64 {
	for _, c := range ans.Checks {
		if c.Metric == predict.EyeMelanopic {
			return c.Limit
		}
	}
	return predict.SessionEDI
}

// Farthest is how far the pictures of the region reach, m.
const Farthest = 1.5

// FromSide is the region in which the target at the eye is met, seen from the
// side; false when the grade of the prediction does not tell.
func FromSide(ans *app.Answer) (draw.Scene, bool) {
	u, err := ans.Result.UsableHeights(Target(ans), Farthest)
	p := ans.Lamp.Spec.Place
	return region(u, "Where the target is met, from the side", "eye above its usual height", p.Ahead(), 0), err == nil
}

// FromAbove is the same from above.
func FromAbove(ans *app.Answer) (draw.Scene, bool) {
	u, err := ans.Result.UsableSides(Target(ans), Farthest)
	p := ans.Lamp.Spec.Place
	return region(u, "Where the target is met, from above", "eye to the side of the lamp's middle", p.Ahead(), p.LampAside), err == nil
}

func region(u predict.Reach, title, across string, ahead, at float64) draw.Scene {
	s := figure.Series{Name: "enough here"}
	for i, x := range u.Ahead {
		if math.IsNaN(u.From[i]) {
			continue
		}
		s.X, s.Y = append(s.X, x), append(s.Y, (u.From[i]+u.To[i])/2)
		s.Low, s.High = append(s.Low, u.From[i]), append(s.High, u.To[i])
	}
	c := figure.CurveChart{
		Frame: figure.Frame{Title: title, Height: 80, Note: fmt.Sprintf("at least %.0f lx melanopic EDI at the eye, gaze and brow as in the place; the lamp hangs at 0 and stays as it is; followed to 1.2 m across", u.Target)},
		X:     figure.Axis{Name: "eye in front of the lamp", Unit: "m", From: 0, To: Farthest}, Y: figure.Axis{Name: across, Unit: "m", Zero: true},
		Series: []figure.Series{{Name: "the eye's place", X: []float64{ahead}, Y: []float64{at}, DotsOnly: true}},
	}
	if len(s.X) > 0 {
		c.Series = append(c.Series, s)
	}
	return figure.Curves(c)
}

// Volts is the voltage across every cut unit.
func Volts(ans *app.Answer) (draw.Scene, bool) {
	return units(ans, "Volts at every cut unit", figure.Axis{Name: "voltage", Unit: "V"}, func(_ int, u circuit.Units, k int) float64 { return u.V[k] })
}

// Bright is the light of every cut unit over that at its nominal current.
func Bright(ans *app.Answer) (draw.Scene, bool) {
	// Rows of two strips by turns are held each against the best of its own.
	turns := len(ans.Lamp.Strips())
	best, least := make([]float64, turns), 1.0
	if c := ans.Result.Circuit; c != nil {
		for i, r := range c.Rows {
			best[i%turns] = max(best[i%turns], slices.Max(r.First.I))
		}
		for i, r := range c.Rows {
			least = math.Min(least, slices.Min(r.First.I)/best[i%turns])
		}
	}
	if slices.Min(best) == 0 {
		return draw.Scene{}, false
	}
	// At least ten per cent of scale, so that an even lamp looks even.
	from := math.Min(90, 10*math.Floor(10*circuit.RelativeFlux(least)))
	return units(ans, "Light of every cut unit, the brightest 100 %", figure.Axis{Name: "light", Unit: "%", From: from, To: 100}, func(row int, u circuit.Units, k int) float64 {
		return 100 * circuit.RelativeFlux(u.I[k]/best[row%turns])
	})
}

// units maps a value of the first channel over all units as they lie in the
// tray, row 1 at the top.
func units(ans *app.Answer, title string, z figure.Axis, value func(row int, u circuit.Units, k int) float64) (draw.Scene, bool) {
	c := ans.Result.Circuit
	if c == nil {
		return draw.Scene{}, false
	}
	var rows [][]float64
	for i, r := range c.Rows {
		var row []float64
		for k := range r.First.I {
			row = append(row, value(i, r.First, k))
		}
		rows = append(rows, row)
	}
	note := "from the wired end at the left, row 1 at the top; every channel full on"
	if n := ans.Lamp.ChannelNames(); ans.Lamp.Interleaved() {
		note += "; rows of the " + n[0] + " and the " + n[1] + " strip by turns"
	} else if len(n) > 1 {
		note += "; " + ans.Lamp.Strip.Channels[0].Name + " channel"
	}
	return figure.Map(figure.MapChart{Frame: figure.Frame{Title: title, Height: 92, Note: note}, Values: rows,
		FaceWidth: ans.Lamp.RowLength() * 1000, FaceHeight: ans.Lamp.Across() * 1000, Z: z}), true
}

// Pulses is the light of the lamp in time as its strongest variation has it: that of its
// dimmer, else that of its supply's ripple. False without either, and where it
// is faster than a record can hold.
func Pulses(r *predict.Result) (flicker.Waveform, *flicker.Result, string, bool) {
	vs := r.Variations()
	if len(vs) == 0 || vs[0].Shape.Frequency > 50e3 {
		return flicker.Waveform{}, nil, "", false
	}
	w, err := vs[0].Shape.Sampled(4 * vs[0].Shape.Period())
	return w, vs[0].Result, vs[0].Name, err == nil
}

// Waveform draws the light in time.
func Waveform(ans *app.Answer) (draw.Scene, bool) {
	w, r, name, ok := Pulses(&ans.Result)
	if !ok {
		return draw.Scene{}, false
	}
	return portrait.Waveform(w, r, "Light in time, "+name), true
}

// WaveSpectrum draws its frequencies.
func WaveSpectrum(ans *app.Answer) (draw.Scene, bool) {
	_, r, name, ok := Pulses(&ans.Result)
	if !ok {
		return draw.Scene{}, false
	}
	return portrait.WaveSpectrum(r, "Frequencies of the light, "+name), true
}
