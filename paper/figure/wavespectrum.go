package figure

import (
	"math"

	"dawnsmith/paper/draw"
	"dawnsmith/quantity"
)

// WaveSpectrumChart is the lines of a light that varies in time: which
// frequencies, how strong.
type WaveSpectrumChart struct {
	Frame
	// Frequency in Hz and Amplitude in % of the mean, one of each a line.
	Frequency, Amplitude []float64
	// Limits are curves of % over Hz that the lines are held against.
	Limits []Series
	// Fundamental in Hz is named if above 0.
	Fundamental float64
	// From and To in Hz, Least in % bound the picture; zeros take them from the
	// data.
	From, To, Least float64
}

// WaveSpectrum draws the lines as stems over a logarithmic frequency, with the
// limits as curves.
func WaveSpectrum(c WaveSpectrumChart) draw.Scene {
	lines := Series{Name: "light", X: c.Frequency, Y: c.Amplitude, DotsOnly: true}
	lines.check()
	cc := CurveChart{Frame: c.Frame,
		X:      Axis{Name: "frequency", Unit: "Hz", Log: true, From: c.From, To: c.To},
		Y:      Axis{Name: "amplitude over the mean", Unit: "%", Log: true},
		Series: []Series{lines}}
	if c.From == 0 && c.To == 0 {
		cc.X.From, cc.X.To = c.reach(cc.X)
	}
	if c.Least > 0 && c.Least < 100 {
		cc.Y.From, cc.Y.To = c.Least, 200
	}
	cc.Series = append(cc.Series, c.Limits...)
	if cc.X.drawable(c.Fundamental) && c.Fundamental >= cc.X.From && c.Fundamental <= cc.X.To {
		cc.Guides = append(cc.Guides, Guide{At: c.Fundamental, Upright: true, Name: "repeats at " + quantity.Digits(c.Fundamental, 3) + " Hz"})
	}
	return curves(cc, extras{before: func(p *plot) {
		d := p.data()
		d.Title = "one stem for each frequency"
		for i, f := range c.Frequency {
			if p.x.inside(f) && p.y.axis.drawable(c.Amplitude[i]) {
				foot, top := p.at(f, p.y.lo), p.at(f, c.Amplitude[i])
				d.Line(foot.X, foot.Y, top.X, top.Y, draw.Stroke(draw.Accent, draw.WidthLine))
				p.note([]draw.Point{foot, top})
			}
		}
	}})
}

// reach is the range of frequencies to show: the whole decades about the lines
// and at least 10 Hz to 10 kHz, where the limits lie.
func (c WaveSpectrumChart) reach(a Axis) (from, to float64) {
	from, to = 10, 1e4
	for _, f := range c.Frequency {
		if a.drawable(f) {
			from, to = min(from, f), max(to, f)
		}
	}
	return math.Pow(10, math.Floor(math.Log10(from)+1e-9)), math.Pow(10, math.Ceil(math.Log10(to)-1e-9))
}
