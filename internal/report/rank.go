package report

import (
	"strings"

	"dawnsmith/internal/app"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/edition"
	"dawnsmith/paper/figure"
	"dawnsmith/quantity"
)

// RankPictures draws a comparison of lamps of the logbook.
func RankPictures(r app.Ranked) []NamedScene {
	var out []NamedScene
	for _, p := range r.Comparison().Pictures() {
		out = append(out, NamedScene{Name: p.Name, Title: p.Scene.Title, Scene: p.Scene})
	}
	return out
}

// KeptSpectrum draws the spectrum of a lamp of the logbook; false when it has
// none.
func KeptSpectrum(k app.Kept) (draw.Scene, bool) { return edition.Spectrum(k.Compared()) }

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
