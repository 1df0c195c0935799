package figure

import (
	"math"

	"dawnsmith/paper/draw"
	"dawnsmith/quantity"
)

// ProfileChart is a quantity along a line across the face.
type ProfileChart struct {
	Frame
	Y      Axis
	Series []Series // X in mm along the line
	// LEDs marks the places of emitters under the axis, mm along the line.
	LEDs []float64
	// Along names the abscissa; empty means "along the row".
	Along string
	// Mean draws the mean of the first series.
	Mean bool
}

// Profile draws a quantity along a row, with the LEDs under it as small marks
// and its mean as a line.
func Profile(c ProfileChart) draw.Scene {
	if c.Along == "" {
		c.Along = "along the row"
	}
	cc := CurveChart{Frame: c.Frame, X: Axis{Name: c.Along, Unit: "mm"}, Y: c.Y, Series: c.Series}
	if c.Mean && len(c.Series) > 0 {
		sum, n := 0.0, 0.0
		for _, v := range c.Series[0].Y {
			if c.Y.drawable(v) {
				sum += v
				n++
			}
		}
		if n > 0 {
			cc.Guides = append(cc.Guides, Guide{At: sum / n, Name: "mean " + quantity.Digits(sum/n, 3)})
		}
	}
	under := 0.0
	if len(c.LEDs) > 0 {
		under = 2.6
	}
	return curves(cc, extras{under: under, before: func(p *plot) {
		if under == 0 {
			return
		}
		g := p.s.Child("leds")
		g.Title = "where the LEDs are"
		y := p.box.Y + p.box.H + 1.3
		for _, x := range c.LEDs {
			if p.x.inside(x) {
				q := p.at(x, p.y.lo)
				g.Rect(q.X-0.6, y-0.6, 1.2, 1.2, draw.Stroke(draw.Ink, draw.WidthHair).Filled(draw.LED))
			}
		}
	}})
}

// WarmUpChart is light (or temperature) over the time since switching on.
type WarmUpChart struct {
	Frame
	Y      Axis
	Series []Series // X in minutes
	// Final is the settled value and Within the half width of the band taken
	// as settled, in the same unit; Within 0 draws no band.
	Final, Within float64
	// SettledAt in minutes; 0 draws no mark.
	SettledAt float64
}

// WarmUp draws a warm-up curve with the band in which it counts as settled and
// the time from which it stays there.
func WarmUp(c WarmUpChart) draw.Scene {
	cc := CurveChart{Frame: c.Frame, X: Axis{Name: "time since switching on", Unit: "min"}, Y: c.Y, Series: c.Series}
	for _, v := range []float64{c.Final - c.Within, c.Final + c.Within} {
		if c.Within > 0 && c.Y.drawable(v) {
			cc.Guides = append(cc.Guides, Guide{At: v})
		}
	}
	if c.Y.drawable(c.Final) && c.Within > 0 {
		cc.Guides[len(cc.Guides)-1].Name = "settled: " + quantity.FormatUncertain(c.Final, c.Within) + " " + c.Y.Unit
	}
	if c.SettledAt > 0 && !math.IsInf(c.SettledAt, 0) {
		cc.Guides = append(cc.Guides, Guide{At: c.SettledAt, Upright: true, Name: "settled after " + quantity.Digits(c.SettledAt, 2) + " min"})
	}
	return curves(cc, extras{before: func(p *plot) {
		if !(c.Within > 0) {
			return
		}
		d := p.data()
		top, foot := p.at(p.x.lo, c.Final+c.Within), p.at(p.x.hi, c.Final-c.Within)
		if p.y.axis.drawable(c.Final-c.Within) && p.y.axis.drawable(c.Final+c.Within) {
			d.Rect(top.X, top.Y, foot.X-top.X, foot.Y-top.Y, draw.Fill(draw.Panel))
		}
	}})
}

// WaveformChart is light over a short time: flicker.
type WaveformChart struct {
	Frame
	Y    Axis
	Time []float64 // ms
	// Light is the signal, of the same length.
	Light []float64
	// Period in ms is marked if above 0.
	Period float64
	// Reference is another waveform to compare with.
	Reference *Series
}

// Waveform draws light over time with its mean, and marks one period.
func Waveform(c WaveformChart) draw.Scene {
	main := Series{Name: "light", X: c.Time, Y: c.Light}
	main.check()
	cc := CurveChart{Frame: c.Frame, X: Axis{Name: "time", Unit: "ms"}, Y: c.Y, Series: []Series{main}}
	cc.Y.Zero = !c.Y.Log
	if c.Reference != nil {
		cc.Series = append(cc.Series, *c.Reference)
	}
	sum, n := 0.0, 0.0
	for _, v := range c.Light {
		if c.Y.drawable(v) {
			sum += v
			n++
		}
	}
	if n > 0 && !math.IsInf(sum, 0) {
		cc.Guides = append(cc.Guides, Guide{At: sum / n, Name: "mean " + quantity.Digits(sum/n, 3)})
	}
	over := 0.0
	if c.Period > 0 {
		over = 6
	}
	return curves(cc, extras{over: over, before: func(p *plot) {
		if !(c.Period > 0) || !p.x.inside(p.x.lo+c.Period) || len(c.Time) == 0 {
			return
		}
		// From the first highest point, if a whole period follows it.
		t0 := p.x.lo
		best := math.Inf(-1)
		for i, t := range c.Time {
			if c.Y.drawable(c.Light[i]) && t+c.Period <= p.x.hi && t < p.x.lo+c.Period && c.Light[i] > best {
				best, t0 = c.Light[i], t
			}
		}
		if !p.x.inside(t0) || !p.x.inside(t0+c.Period) {
			return
		}
		a, b := p.at(t0, p.y.hi), p.at(t0+c.Period, p.y.hi)
		p.s.Dim(a, b, 1.2, quantity.Digits(c.Period, 3)+" ms", draw.DimStyle{Arrows: true, NoExtension: true})
	}})
}
