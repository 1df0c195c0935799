// Package album holds the pictures of a lamp that was worked out, each with the
// numbers behind it, for the page and for files.
package album

import (
	"bytes"
	"encoding/csv"
	"errors"

	"dawnsmith/internal/app"
	"dawnsmith/internal/report"
	"dawnsmith/lamp/wiring"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/portrait"
)

// Picture is one drawing of a lamp, and the numbers behind it.
type Picture struct {
	Key  string
	Name string // what it shows, for links
	// Slow pictures take tens of milliseconds.
	Slow bool
	// Doubt pictures need the numbers with their uncertainty.
	Doubt  bool
	worked bool // needs a lamp that was worked out
	draw   func(*app.Answer) (draw.Scene, error)
	data   func(*app.Answer) (Table, error)
}

// Table is a picture's data: a head and rows of texts.
type Table struct {
	Head []string
	Rows [][]string
}

// CSV writes the table as comma-separated values.
func (t Table) CSV() []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	_ = w.Write(t.Head) // a buffer takes everything
	_ = w.WriteAll(t.Rows)
	return b.Bytes()
}

// ErrNone says that there is nothing to draw.
var ErrNone = errors.New("there is nothing to draw for this lamp")

func always(f func(*app.Answer) draw.Scene) func(*app.Answer) (draw.Scene, error) {
	return func(a *app.Answer) (draw.Scene, error) { return f(a), nil }
}

func maybe(f func(*app.Answer) (draw.Scene, bool)) func(*app.Answer) (draw.Scene, error) {
	return func(a *app.Answer) (draw.Scene, error) {
		s, ok := f(a)
		if !ok {
			return s, ErrNone
		}
		return s, nil
	}
}

var all = []Picture{
	{Key: "plan", Name: "tray from above", draw: always(func(a *app.Answer) draw.Scene { return report.Plan(a.Lamp) }), data: planData},
	{Key: "section", Name: "cut across the rows", draw: always(func(a *app.Answer) draw.Scene { return portrait.TraySection(a.Lamp) }), data: sectionData},
	{Key: "wiring", Name: "wiring", draw: always(func(a *app.Answer) draw.Scene {
		return portrait.Wiring(a.Lamp, wiring.Of(a.Lamp, wiring.Options{}))
	}), data: wiringData},
	{Key: "side", Name: "lamp and eye from the side", draw: always(func(a *app.Answer) draw.Scene { return portrait.SideView(a.Lamp) }), data: sideData},
	{Key: "spectrum", Name: "spectrum at the eye", worked: true, draw: always(report.Spectrum), data: spectrumData},
	{Key: "hues", Name: "rendition by hue", worked: true, draw: always(report.Hues), data: huesData},
	{Key: "receptors", Name: "receptors of the eye", worked: true, draw: report.Receptors, data: receptorData},
	{Key: "ripple", Name: "luminance across the rows", worked: true, draw: maybe(report.Ripple), data: rippleData},
	{Key: "currents", Name: "current along the rows", worked: true, draw: maybe(report.Currents), data: currentData},
	{Key: "warm", Name: "warming up", worked: true, draw: report.Warm, data: warmData},
	{Key: "sure", Name: "how sure each number is", worked: true, Doubt: true, draw: always(report.Sure), data: sureData},
	{Key: "reach", Name: "light over distance", worked: true, Slow: true, draw: maybe(report.Reach), data: reachData},
	{Key: "face", Name: "luminance over the face", worked: true, Slow: true, draw: maybe(report.Face), data: faceData},
	{Key: "from-side", Name: "where the target is met, from the side", worked: true, Slow: true, draw: maybe(report.FromSide), data: sideRegion},
	{Key: "from-above", Name: "where the target is met, from above", worked: true, Slow: true, draw: maybe(report.FromAbove), data: topRegion},
	{Key: "volts", Name: "volts at every unit", worked: true, draw: maybe(report.Volts), data: voltData},
	{Key: "bright", Name: "light of every unit", worked: true, draw: maybe(report.Bright), data: voltData},
	{Key: "waveform", Name: "light in time, by dimmer or supply", worked: true, draw: maybe(report.Waveform), data: waveData},
	{Key: "wavespectrum", Name: "its frequencies", worked: true, draw: maybe(report.WaveSpectrum), data: lineData},
	{Key: "hot", Name: "temperature of the tray's floor", worked: true, Slow: true, draw: report.Hot, data: hotData},
}

// All lists the pictures of a lamp.
func All() []Picture { return all }

// Of finds a picture by its key.
func Of(key string) (Picture, bool) {
	for _, p := range all {
		if p.Key == key {
			return p, true
		}
	}
	return Picture{}, false
}

// Ready tells whether the answer has what the picture needs.
func (p Picture) Ready(a *app.Answer) bool {
	return (!p.worked || a.Worked()) && (!p.Doubt || a.Values != nil)
}

// Draw draws the picture. The error wraps ErrNone when there is nothing to
// draw.
func (p Picture) Draw(a *app.Answer) (draw.Scene, error) {
	if !p.Ready(a) {
		return draw.Scene{}, ErrNone
	}
	return p.draw(a)
}

// Data gives the numbers behind the picture; see Draw.
func (p Picture) Data(a *app.Answer) (Table, error) {
	if !p.Ready(a) {
		return Table{}, ErrNone
	}
	return p.data(a)
}
