package edition

import (
	"fmt"
	"image"
	"strings"

	"dawnsmith/bench/compare"
	"dawnsmith/bench/measure"
	"dawnsmith/lamp/predict"
	"dawnsmith/light/colour"
	"dawnsmith/light/spectrum"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/figure"
	"dawnsmith/quantity"
)

// Picture is a picture with its name: "ranking", "scatter", "spectra",
// "rendition-hues", "rendition-special".
type Picture struct {
	Name  string
	Scene draw.Scene
}

// Pictures draws a comparison: the ranking; output against the face's luminance
// where both are known of a lamp; spectra and rendition where there are spectra.
func (c Comparison) Pictures() []Picture {
	out := []Picture{{"ranking", figure.Ranked(c.ranked())}}
	if sc, ok := c.scatter(); ok {
		out = append(out, Picture{"scatter", figure.Scatter(sc)})
	}
	if sp, hues, special, ok := grids(c.Lamps); ok {
		out = append(out, Picture{"spectra", figure.Spectra(sp)}, Picture{"rendition-hues", figure.Bins(hues)}, Picture{"rendition-special", figure.Bins(special)})
	}
	return out
}

// Spectrum draws the spectrum of one lamp; false when it has none.
func Spectrum(l Lamp) (draw.Scene, bool) {
	sp, _, _, ok := grids([]Lamp{l})
	if !ok {
		return draw.Scene{}, false
	}
	sp.Title = "Spectrum"
	return figure.Spectra(sp), true
}

// Sizes of pictures for other media, in pixels.
var (
	Video   = image.Pt(1920, 1080)
	Article = image.Pt(1200, 675)
)

// Framed puts a picture onto a canvas of a size in pixels, as large as fits,
// in the middle. It is drawn with the returned pixels per millimetre.
func Framed(s draw.Scene, size image.Point) (framed draw.Scene, perMM float64) {
	perMM = min(float64(size.X)/s.Width, float64(size.Y)/s.Height)
	framed = draw.NewScene(float64(size.X)/perMM, float64(size.Y)/perMM, s.Title, s.Desc)
	framed.Place(s, (framed.Width-s.Width)/2, (framed.Height-s.Height)/2, 1)
	return framed, perMM
}

func (c Comparison) ranked() figure.RankedChart {
	k := c.Ranking
	out := figure.RankedChart{Frame: figure.Frame{Title: capital(k.Metric.Name) + ", " + k.Terms.String(), Note: "Bars: k = 2. A bracket joins lamps that cannot be told apart."},
		X: figure.Axis{Name: k.Metric.Name, Unit: k.Unit, Log: k.LogAxis}}
	size := map[int]int{}
	for _, x := range k.Rows {
		size[x.Group]++
	}
	for _, x := range k.Rows {
		row := figure.RankedRow{Name: x.Name, Place: span(x.Low, x.High), Value: x.Value.X, Low: x.Value.X - 2*x.Value.U(), High: x.Value.X + 2*x.Value.U(), Text: x.Value.String()}
		if size[x.Group] > 1 {
			row.Group = x.Group
		}
		out.Rows = append(out.Rows, row)
	}
	for _, x := range k.Unranked {
		row := figure.RankedRow{Name: x.Name, Place: "–", Missing: x.Missing}
		if x.Missing == "" {
			row.Value, row.Limit, row.Text = x.Value.X, x.Bound.String(), quantity.Digits(x.Value.X, 3)
		}
		out.Rows = append(out.Rows, row)
	}
	return out
}

// scatterDistance is where output is compared when the terms name no distance,
// m.
const scatterDistance = 0.5

func (c Comparison) scatter() (figure.ScatterChart, bool) {
	d := c.Ranking.Terms.Distance
	if d == 0 {
		d = scatterDistance
	}
	at := fmt.Sprintf("%.0f mm", 1e3*d)
	out := figure.ScatterChart{Frame: figure.Frame{Title: "Output and the brightness of the face", Note: "At " + at + " on the axis of the face; crosses: k = 2."}, Distance: d,
		X: figure.Axis{Name: "mean luminance of the face", Unit: "cd/m²"}, Y: figure.Axis{Name: "illuminance at " + at, Unit: "lx"}}
	var entries []compare.Entry
	for _, l := range c.Lamps {
		entries = append(entries, l.Entry)
	}
	lum, err1 := compare.Put(entries, predict.FaceMean, compare.Terms{Where: compare.AsRead})
	lux, err2 := compare.Put(entries, predict.MeterLux, compare.Terms{Where: compare.SameDistance, Distance: d})
	if err1 != nil || err2 != nil {
		return out, false
	}
	some := false
	for i, l := range c.Lamps {
		x, y := lum.Cells[i], lux.Cells[i]
		p := figure.ScatterPoint{Name: l.Entry.Name}
		switch {
		case x.Missing != "":
			p.Missing = x.Missing
		case y.Missing != "":
			p.Missing = y.Missing
		case x.Bound != measure.Estimate || y.Bound != measure.Estimate:
			p.Missing = "known as a limit only"
		default:
			some = true
			p.X, p.XLow, p.XHi = x.Value.X, x.Value.X-2*x.Value.U(), x.Value.X+2*x.Value.U()
			p.Y, p.YLow, p.YHi = y.Value.X, y.Value.X-2*y.Value.U(), y.Value.X+2*y.Value.U()
		}
		out.Points = append(out.Points, p)
	}
	return out, some
}

func grids(lamps []Lamp) (sp figure.SpectrumGrid, hues, special figure.BinGrid, ok bool) {
	sp.Frame = figure.Frame{Title: "Spectra"}
	hues = figure.BinGrid{Frame: figure.Frame{Title: "Colour fidelity by hue"}, Hues: true, Y: figure.Axis{Name: "local fidelity Rf,h"}, Bins: figure.HueBins()}
	special = figure.BinGrid{Frame: figure.Frame{Title: "Special colour rendering indices"}, Y: figure.Axis{Name: "special index R"}, Bins: figure.SpecialIndices()}
	nm := make([]float64, spectrum.N)
	for i := range nm {
		nm[i] = spectrum.Wavelength(i)
	}
	for _, l := range lamps {
		a, b, c := figure.SpectrumCell{Name: l.Entry.Name}, figure.BinCell{Name: l.Entry.Name}, figure.BinCell{Name: l.Entry.Name}
		if l.Record == nil || l.Record.Spectrum == nil {
			a.Missing = "no spectrum was measured"
			b.Missing, c.Missing = a.Missing, a.Missing
		} else {
			ok = true
			s := l.Record.Spectrum
			a.NM, a.Y = nm, s[:]
			const none = "the light has no correlated colour temperature"
			if f, err := colour.TM30(s); err == nil && f.Valid {
				b.Values, b.Says = f.RfBin[:], []string{fmt.Sprintf("Rf %.0f, Rg %.0f", f.Rf, f.Rg)}
			} else {
				b.Missing = none
			}
			if f, err := colour.CRI(s); err == nil && f.Valid {
				c.Values, c.Says = f.R[:], []string{strings.Replace(fmt.Sprintf("Ra %.0f, R9 %.0f", f.Ra, f.R[8]), "-", "−", 1)}
			} else {
				c.Missing = none
			}
			if t, err := colour.CCT(s); err == nil && t.Valid {
				a.Says = []string{fmt.Sprintf("%.0f K", t.Kelvin)}
			}
		}
		sp.Cells, hues.Cells, special.Cells = append(sp.Cells, a), append(hues.Cells, b), append(special.Cells, c)
	}
	return sp, hues, special, ok
}

// Pictures draws what the edition compares.
func (e *Edition) Pictures() []Picture { return e.in.Comparison.Pictures() }
