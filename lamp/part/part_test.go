package part

import (
	"math"
	"strings"
	"testing"

	"dawnsmith/quantity"
)

func good() Strip {
	x := quantity.Exact
	return Strip{Item: Item{ID: "strip", Name: "a strip"}, Drive: Resistor, Voltage: 24, LEDs: 120, Series: 6, Cut: 0.05, Reel: 5, Width: 0.01, Height: 0.0015,
		Copper: 2, Rail: 0.004, Beam: 2, Emitter: 5e-6, TapeLimit: 353, Reflectance: x(0.85), JunctionLimit: 378,
		Channels: []Channel{{Name: "white", Power: x(14.4), Flux: x(1500), CCT: x(5000), Ra: 90, Pump: BluePump}}}
}

func TestStripCheck(t *testing.T) {
	if err := good().Check(); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		change func(*Strip)
		says   string
	}{
		{func(s *Strip) { s.ID = "Strip One" }, "lower-case letters"},
		{func(s *Strip) { s.Drive = "magic" }, `"resistor" or "constant-current"`},
		{func(s *Strip) { s.Voltage = 230 }, "extra-low-voltage"},
		{func(s *Strip) { s.Cut = 0.047 }, "whole number of strings"},
		{func(s *Strip) { s.Series = 9; s.Cut = 0.075 }, "fewer in series"},
		{func(s *Strip) { s.Reel = math.NaN() }, "reel"},
		{func(s *Strip) { s.Channels = nil }, "one or two"},
		{func(s *Strip) { s.Channels = append(s.Channels, s.Channels[0]) }, "twice"},
		{func(s *Strip) { s.Channels[0].Flux = quantity.Exact(9000) }, "20 lm/W to 230 lm/W"},
		{func(s *Strip) { s.Channels[0].Pump = "green" }, `"blue" or "violet"`},
		{func(s *Strip) { s.Channels[0].Ra = 120 }, "60 to 99.5"},
	} {
		s := good()
		s.Channels = append([]Channel{}, s.Channels...)
		c.change(&s)
		if err := s.Check(); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("want an error with %q, got %v", c.says, err)
		}
	}
}

func TestSheetEnergy(t *testing.T) {
	x := quantity.Exact
	s := Sheet{Item: Item{ID: "s", Name: "s"}, Thickness: 0.003, Density: 1190, Transmittance: x(0.7), Reflectance: x(0.5), Limit: 343, Emissivity: 0.9}
	if err := s.Check(); err == nil || !strings.Contains(err.Error(), "at most 1") {
		t.Errorf("T + R = 1.2 passed: %v", err)
	}
}

func TestMoney(t *testing.T) {
	for text, want := range map[string]Money{"14.90 EUR": {1490, "EUR"}, "14,90 €": {1490, "EUR"}, "€ 5": {500, "EUR"}, "160 eur": {16000, "EUR"}} {
		var m Money
		if err := m.UnmarshalText([]byte(text)); err != nil || m != want {
			t.Errorf("%q: %v, %v; want %v", text, m, err, want)
		}
		b, _ := m.MarshalText()
		var back Money
		if err := back.UnmarshalText(b); err != nil || back != m {
			t.Errorf("%v written as %q reads %v, %v", m, b, back, err)
		}
	}
	for _, bad := range []string{"", "14.90", "EUR", "-3 EUR", "3 4", "1e99 EUR"} {
		var m Money
		if err := m.UnmarshalText([]byte(bad)); err == nil {
			t.Errorf("%q passed as %v", bad, m)
		}
	}
}

func TestCurve(t *testing.T) {
	c := Curve{{400, 0.8}, {500, 0.9}, {600, 1}}
	if got := c.At(450, 0.5); math.Abs(got-0.5*0.85/0.955) > 1e-12 {
		t.Errorf("At(450) = %v", got)
	}
	if got := (Curve{}).At(450, 0.5); got != 0.5 {
		t.Errorf("an empty curve is not level: %v", got)
	}
	if got := c.At(700, 1); math.Abs(got-1/0.955) > 1e-12 {
		t.Errorf("beyond its end a curve stays level; got %v", got)
	}
}

func TestNearestAndLayer(t *testing.T) {
	if n := Nearest("transmitance", []string{"reflectance", "transmittance"}); n != "transmittance" {
		t.Errorf("nearest is %q", n)
	}
	lower := Set{Strips: []Strip{good()}}
	upper := good()
	upper.Name = "mine"
	second := good()
	second.ID = "second"
	got := lower.Layer(Set{Strips: []Strip{upper, second}})
	if len(got.Strips) != 2 || got.Strips[0].Name != "mine" || lower.Strips[0].Name != "a strip" {
		t.Errorf("layering gives %v", got.Strips)
	}
	if _, err := Find(got.Strips, "strip", "secnd"); err == nil || !strings.Contains(err.Error(), `"second"`) {
		t.Errorf("Find: %v", err)
	}
	twice := Set{Strips: []Strip{good(), good()}}
	if err := twice.Check(); err == nil || !strings.Contains(err.Error(), "twice") {
		t.Errorf("an id given twice: %v", err)
	}
}
