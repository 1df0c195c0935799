package app

import (
	"math"
	"testing"
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
