package album

import (
	"bytes"
	"encoding/csv"
	"errors"
	"strconv"
	"strings"
	"testing"

	"dawnsmith/internal/app"
	"dawnsmith/internal/catalogue"
	"dawnsmith/lamp/predict"
	"dawnsmith/paper/draw"
)

// Every picture of the sample is drawn, and its data is a sound table.
func TestAll(t *testing.T) {
	a := &app.App{Parts: catalogue.Starter()}
	spec := catalogue.FirstLamp()
	spec.Dimmer = a.Parts.Dimmers[0].ID // its pulses are drawn too
	ans, err := a.Predict(spec, nil, true)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range All() {
		s, err := p.Draw(&ans)
		if err != nil {
			t.Errorf("%s: %v", p.Key, err)
			continue
		}
		var b bytes.Buffer
		if err := draw.SVG(&b, s, draw.SVGOptions{}); err != nil || strings.Contains(b.String(), "NaN") {
			t.Errorf("%s: %v", p.Key, err)
		}
		data, err := p.Data(&ans)
		if err != nil || len(data.Rows) < 2 {
			t.Errorf("%s: %d rows, %v", p.Key, len(data.Rows), err)
		}
		rows, err := csv.NewReader(bytes.NewReader(data.CSV())).ReadAll()
		if err != nil || len(rows) != len(data.Rows)+1 {
			t.Errorf("%s: CSV of %d rows, %v", p.Key, len(rows), err)
		}
	}
	if got, ok := Of("face"); !ok || got.Key != "face" {
		t.Error("no picture of the face")
	}
	if _, ok := Of("nothing"); ok {
		t.Error("a picture of nothing")
	}
}

// The data is that of the answer: the face's map has its mean, the spectrum
// its illuminance at the eye.
func TestDataAgrees(t *testing.T) {
	a := &app.App{Parts: catalogue.Starter()}
	ans, err := a.Predict(catalogue.FirstLamp(), nil, false)
	if err != nil {
		t.Fatal(err)
	}
	n := ans.Result.Numbers
	face, _ := Of("face")
	tab, err := face.Data(&ans)
	if err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	for _, r := range tab.Rows {
		x, _ := strconv.ParseFloat(r[2], 64)
		sum += x
	}
	if mean := sum / float64(len(tab.Rows)); mean < 0.97*n[predict.FaceMean] || mean > 1.03*n[predict.FaceMean] {
		t.Errorf("the map's mean is %.0f cd/m², the face's %.0f", mean, n[predict.FaceMean])
	}
	reach, _ := Of("reach")
	if tab, err = reach.Data(&ans); err != nil {
		t.Fatal(err)
	}
	last := 1e9
	for _, r := range tab.Rows {
		x, _ := strconv.ParseFloat(r[1], 64)
		if x >= last {
			t.Errorf("%s lx at %s m is no less than nearer", r[1], r[0])
		}
		last = x
	}
}

// A lamp that was not worked out has the pictures of its parts only.
func TestNotWorked(t *testing.T) {
	a := &app.App{Parts: catalogue.Starter()}
	s := catalogue.FirstLamp()
	for _, p := range a.Parts.Supplies {
		if p.Voltage.X < 20 {
			s.Supply = p.ID
		}
	}
	ans, err := a.Predict(s, nil, false)
	if err != nil {
		t.Fatal(err)
	}
	if ans.Worked() {
		t.Fatal("a 24 V strip on 12 V was worked out")
	}
	for _, p := range All() {
		_, err := p.Draw(&ans)
		geometry := p.Key == "plan" || p.Key == "section" || p.Key == "wiring" || p.Key == "side"
		if geometry && err != nil || !geometry && !errors.Is(err, ErrNone) {
			t.Errorf("%s: %v", p.Key, err)
		}
	}
}
