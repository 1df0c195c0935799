package report

import (
	"fmt"
	"strings"

	"dawnsmith/bench/compare"
	"dawnsmith/bench/measure"
	"dawnsmith/internal/app"
	"dawnsmith/lamp/predict"
	"dawnsmith/light/colour"
	"dawnsmith/light/spectrum"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/figure"
	"dawnsmith/quantity"
)

// RankPictures draws a comparison: the ranking; output against the face's
// luminance where both are known of a lamp; spectra and rendition where there
// are spectra.
func RankPictures(r app.Ranked) []NamedScene {
	out := []NamedScene{{Name: "ranking", Scene: figure.Ranked(rankChart(r))}}
	if sc, ok := scatterChart(r); ok {
		out = append(out, NamedScene{Name: "scatter", Scene: figure.Scatter(sc)})
	}
	if sp, hues, special, ok := grids(r); ok {
		out = append(out, NamedScene{Name: "spectra", Scene: figure.Spectra(sp)}, NamedScene{Name: "rendition-hues", Scene: figure.Bins(hues)},
			NamedScene{Name: "rendition-special", Scene: figure.Bins(special)})
	}
	return out
}

// KeptSpectrum draws the spectrum of a lamp of the logbook; false when it has
// none.
func KeptSpectrum(k app.Kept) (draw.Scene, bool) {
	sp, _, _, ok := grids(app.Ranked{Lamps: []app.Kept{k}})
	if !ok {
		return draw.Scene{}, false
	}
	sp.Title = "Spectrum"
	return figure.Spectra(sp), true
}

func rankChart(r app.Ranked) figure.RankedChart {
	k := r.Ranking
	c := figure.RankedChart{Frame: figure.Frame{Title: strings.ToUpper(k.Metric.Name[:1]) + k.Metric.Name[1:] + ", " + k.Terms.String(), Note: "Bars: k = 2. A bracket joins lamps that cannot be told apart."},
		X: figure.Axis{Name: k.Metric.Name, Unit: k.Unit, Log: k.LogAxis}}
	size := map[int]int{}
	for _, x := range k.Rows {
		size[x.Group]++
	}
	for _, x := range k.Rows {
		row := figure.RankedRow{Name: x.Name, Place: places(x), Value: x.Value.X, Low: x.Value.X - 2*x.Value.U(), High: x.Value.X + 2*x.Value.U(), Text: x.Value.String()}
		if size[x.Group] > 1 {
			row.Group = x.Group
		}
		c.Rows = append(c.Rows, row)
	}
	for _, x := range k.Unranked {
		row := figure.RankedRow{Name: x.Name, Place: "–", Missing: x.Missing}
		if x.Missing == "" {
			row.Value, row.Limit, row.Text = x.Value.X, x.Bound.String(), quantity.Digits(x.Value.X, 3)
		}
		c.Rows = append(c.Rows, row)
	}
	return c
}

// places are the places that a lamp may hold.
func places(x compare.Row) string {
	if x.Low == x.High {
		return fmt.Sprint(x.Place)
	}
	return fmt.Sprintf("%d–%d", x.Low, x.High)
}

// scatterDistance is where output is compared when the terms name no distance,
// m.
const scatterDistance = 0.5

func scatterChart(r app.Ranked) (figure.ScatterChart, bool) {
	d := r.View.Terms.Distance
	if d == 0 {
		d = scatterDistance
	}
	at := fmt.Sprintf("%.0f mm", 1e3*d)
	c := figure.ScatterChart{Frame: figure.Frame{Title: "Output and the brightness of the face", Note: "At " + at + " on the axis of the face; crosses: k = 2."}, Distance: d,
		X: figure.Axis{Name: "mean luminance of the face", Unit: "cd/m²"}, Y: figure.Axis{Name: "illuminance at " + at, Unit: "lx"}}
	var entries []compare.Entry
	for _, l := range r.Lamps {
		entries = append(entries, l.Entry)
	}
	lum, err1 := compare.Put(entries, predict.FaceMean, compare.Terms{Where: compare.AsRead})
	lux, err2 := compare.Put(entries, predict.MeterLux, compare.Terms{Where: compare.SameDistance, Distance: d})
	if err1 != nil || err2 != nil {
		return c, false
	}
	some := false
	for i, l := range r.Lamps {
		x, y := lum.Cells[i], lux.Cells[i]
		p := figure.ScatterPoint{Name: l.Lamp.Name}
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
		c.Points = append(c.Points, p)
	}
	return c, some
}

func grids(r app.Ranked) (sp figure.SpectrumGrid, hues, special figure.BinGrid, ok bool) {
	sp.Frame = figure.Frame{Title: "Spectra"}
	hues = figure.BinGrid{Frame: figure.Frame{Title: "Colour fidelity by hue"}, Hues: true, Y: figure.Axis{Name: "local fidelity Rf,h"}, Bins: figure.HueBins()}
	special = figure.BinGrid{Frame: figure.Frame{Title: "Special colour rendering indices"}, Y: figure.Axis{Name: "special index R"}, Bins: figure.SpecialIndices()}
	nm := make([]float64, spectrum.N)
	for i := range nm {
		nm[i] = spectrum.Wavelength(i)
	}
	for _, l := range r.Lamps {
		a, b, c := figure.SpectrumCell{Name: l.Lamp.Name}, figure.BinCell{Name: l.Lamp.Name}, figure.BinCell{Name: l.Lamp.Name}
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
				c.Values, c.Says = f.R[:], []string{fmt.Sprintf("Ra %.0f, R9 %.0f", f.Ra, f.R[8])}
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

// DriftPicture draws the readings of the check lamp by one meter, each against
// the mean of all, with the scatter of a single reading.
func DriftPicture(m app.MeterWatch) draw.Scene {
	mean := 0.0
	for _, r := range m.Readings {
		mean += r.X / float64(len(m.Readings))
	}
	c := figure.IntervalChart{Frame: figure.Frame{Title: m.Meter + " on " + m.Lamp, Note: "Each reading against the mean of all; bars: 1 %, what a reading scatters by (k = 2)."}, X: figure.Axis{Name: "off the mean", Unit: "%"}}
	for i, r := range m.Readings {
		x := 100 * (r.X/mean - 1)
		c.Rows = append(c.Rows, figure.IntervalRow{Name: r.Date, Value: x, Low: x - 1, High: x + 1, Text: signed(x) + " %", Chosen: i == len(m.Readings)-1})
	}
	return figure.Intervals(c)
}

// signed writes a number with one decimal and its sign.
func signed(x float64) string {
	t := quantity.Decimals(x, 1)
	if x > 0 && strings.Trim(t, "0.") != "" {
		return "+" + t
	}
	if strings.Trim(t, "−-0.") == "" {
		return "0.0"
	}
	return t
}
