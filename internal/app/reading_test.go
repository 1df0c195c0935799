package app

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"dawnsmith/lamp"
)

func TestParseReading(t *testing.T) {
	for text, want := range map[string][2]float64{
		"tray=42 °C@30min":      {315.15, 1800},
		"sheet = 35.5 °C":       {308.65, 0},
		"strip = 55 °C @ 1.5 h": {328.15, 5400},
	} {
		r, err := ParseReading(text)
		if err != nil || math.Abs(r.Temperature-want[0]) > 1e-9 || math.Abs(r.After-want[1]) > 1e-6 {
			t.Errorf("%s: %+v %v", text, r, err)
		}
	}
	for _, text := range []string{"", "tray", "tray=hot", "tray=42 °C@noon", "tray=42 lx"} {
		if r, err := ParseReading(text); err == nil {
			t.Errorf("%q was taken as %+v", text, r)
		}
	}
}

// What is written is read back, to the hundredth of °C and minute that it is
// written with.
func TestReadingText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := lamp.Reading{At: rapid.SampledFrom([]string{"tray", "strip", "sheet"}).Draw(t, "at"), Temperature: rapid.Float64Range(285, 400).Draw(t, "temperature")}
		if rapid.Bool().Draw(t, "timed") {
			want.After = rapid.Float64Range(60, 7200).Draw(t, "after")
		}
		if rapid.Bool().Draw(t, "air told") {
			want.Air = rapid.Float64Range(275, 310).Draw(t, "air")
		}
		got, err := ParseReading(FormatReading(want))
		if err != nil {
			t.Fatal(err)
		}
		if got.At != want.At || math.Abs(got.Temperature-want.Temperature) > 0.06 || math.Abs(got.After-want.After) > 0.31 || math.Abs(got.Air-want.Air) > 0.06 {
			t.Fatalf("%q: %+v, want %+v", FormatReading(want), got, want)
		}
	})
	for text, say := range map[string]string{"42 °C": "place = temperature @ time", "tray=warm": "warm", "tray=42 °C@soon": "soon", "tray=42 °C in there": "air"} {
		if _, err := ParseReading(text); err == nil || !strings.Contains(err.Error(), say) {
			t.Errorf("%q: %v", text, err)
		}
	}
}
