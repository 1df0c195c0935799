package report

import (
	"fmt"
	"math"

	"dawnsmith/internal/app"
	"dawnsmith/light/eye"
	"dawnsmith/light/spectrum"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/figure"
	"dawnsmith/paper/portrait"
)

// NamedScene is a picture with the name of its file, without an ending.
type NamedScene struct {
	Name, Title string
	Scene       draw.Scene
}

// LightPictures draws one light, or several on common axes: the curves, the
// fidelity by hue of the first two, and the receptors of the first.
func LightPictures(lights []*app.Light) ([]NamedScene, error) {
	var shown []*app.Light
	for _, l := range lights {
		if l.Why == "" && l.Values != nil {
			shown = append(shown, l)
		}
	}
	if len(shown) == 0 {
		return nil, nil
	}
	out := []NamedScene{{"curve", "spectrum", lightCurves(shown[:min(len(shown), 5)])}}
	first := shown[0]
	if first.Reading.Raw.Quantity.IsMaterial() {
		return out, nil
	}
	h := figure.HueChart{Frame: figure.Frame{Title: "How truly each hue is shown", Height: 76},
		Y: figure.Axis{Name: "local colour fidelity", From: 0, To: 100}, Name: first.Name, Mean: first.Values["rf"], MeanName: "Rf", Values: hues(first)}
	if len(shown) > 1 {
		h.OtherName, h.Other = shown[1].Name, hues(shown[1])
	}
	out = append(out, NamedScene{"hues", "rendition by hue", figure.HueDots(h)})
	a, err := eye.Alpha(&first.Grid.Spectrum)
	if err != nil {
		return nil, err
	}
	c := figure.ReceptorChart{Frame: figure.Frame{Title: "What the eye's receptors make of it"},
		X: figure.Axis{Name: "equivalent daylight illuminance per lux", Zero: true}, Name: first.Name, Reference: "daylight of 6500 K"}
	for i, n := range receptorNames {
		c.Rows = append(c.Rows, figure.ReceptorRow{Name: n[0], Sub: n[1], Value: a.DER[i], Reference: 1})
	}
	return append(out, NamedScene{"receptors", "receptors of the eye", figure.Receptors(c)}), nil
}

// lightCurves draws spectra over wavelength: in their unit when they share one,
// else each with its highest point at 1.
func lightCurves(lights []*app.Light) draw.Scene {
	q := lights[0].Reading.Raw.Quantity
	same := true
	for _, l := range lights {
		same = same && l.Reading.Raw.Quantity == q
	}
	c := figure.SpectrumChart{Frame: figure.Frame{Title: "Spectrum", Height: 76}, Y: figure.Axis{Name: q.String(), Unit: q.Unit()}}
	if !same || q == spectrum.Relative {
		c.Y = figure.Axis{Name: "relative, highest point at 1"}
	}
	scale := 1.0
	if _, top := lights[0].Grid.Spectrum.Peak(); same && q.IsAbsolute() && top < 0.5 {
		scale, c.Y.Unit = 1000, "m"+q.Unit()
	}
	for _, l := range lights {
		s := figure.Series{Name: l.Name}
		k := scale
		if !same || q == spectrum.Relative {
			if _, top := l.Grid.Spectrum.Peak(); top > 0 {
				k = 1 / top
			}
		}
		for i, v := range l.Grid.Spectrum {
			if nm := spectrum.Wavelength(i); nm >= l.Grid.First-0.5 && nm <= l.Grid.Last+0.5 {
				s.X, s.Y = append(s.X, nm), append(s.Y, v*k)
			}
		}
		c.Series = append(c.Series, s)
	}
	return figure.Spectrum(c)
}

func hues(l *app.Light) (out [16]float64) {
	for i := range out {
		out[i] = math.NaN()
		if v, ok := l.Values[fmt.Sprintf("rf_h%d", i+1)]; ok {
			out[i] = v
		}
	}
	return out
}

// LogPicture draws a log over time.
func LogPicture(l app.LogRead) NamedScene {
	unit, div := "s", 1.0
	if n := len(l.Seconds); n > 0 && l.Seconds[n-1] > 300 {
		unit, div = "min", 60
	}
	s := figure.Series{Name: l.Name}
	for i, t := range l.Seconds {
		v := l.Values[i]
		if l.Gaps != nil && l.Gaps[i] {
			v = math.NaN()
		}
		s.X, s.Y = append(s.X, t/div), append(s.Y, v)
	}
	return NamedScene{"log", l.Name, figure.Curves(figure.CurveChart{Frame: figure.Frame{Title: l.Name + " over time", Height: 76},
		X: figure.Axis{Name: "time", Unit: unit}, Y: figure.Axis{Name: l.Name, Unit: l.Unit}, Series: []figure.Series{s}})}
}

// WavePictures draws a waveform and the frequencies in it.
func WavePictures(w app.WaveRead) []NamedScene {
	if w.Result == nil {
		return nil
	}
	out := []NamedScene{{"wave", "waveform", portrait.Waveform(w.Waveform(), w.Result, "Light over time")}}
	if len(w.Result.Lines) > 0 {
		out = append(out, NamedScene{"frequencies", "frequencies", portrait.WaveSpectrum(w.Result, "Which frequencies flicker")})
	}
	return out
}
