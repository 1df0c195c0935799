package predict

import (
	"math"
	"strings"
	"testing"

	"dawnsmith/finding"
	"dawnsmith/lamp/part"
)

// Worked by hand: 100 mV peak to peak on 24 V with 7.8 V of headroom moves a
// resistor strip's light by ±0.6 % (0.95·0.05/7.8); a regulating strip by next
// to nothing; the depth grows with the ripple.
func TestSupplyRipple(t *testing.T) {
	at := func(ripple, hz float64, drive part.Drive) Result {
		l := clone(plainLamp(t))
		l.Supply.Ripple, l.Supply.RippleHz, l.Strip.Drive = ripple, hz, drive
		r, err := Lamp(l)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	plain := at(0, 0, part.Resistor)
	if _, told := plain.Numbers["percent_flicker"]; told || len(plain.Variations()) > 0 {
		t.Errorf("no ripple stated: %v", plain.Variations())
	}
	r := at(0.1, 0, part.Resistor)
	v := r.Variations()
	if len(v) != 1 || v[0].Shape.Frequency != 100 || v[0].Pulses {
		t.Fatalf("%+v", v)
	}
	i, g := r.layout.Channels[0].Unit.Current(r.Lamp.Supply.Voltage.X - r.Numbers[LeadDrop])
	if want := 100 * 0.95 * 0.05 * g / i; math.Abs(r.Numbers["percent_flicker"]-want) > 1e-6 || want < 0.3 || want > 1.5 {
		t.Errorf("0.1 V of ripple: %v %%, want %v", r.Numbers["percent_flicker"], want)
	}
	if more := at(0.3, 0, part.Resistor).Numbers["percent_flicker"] / r.Numbers["percent_flicker"]; math.Abs(more-3) > 0.01 {
		t.Errorf("three times the ripple gives %v times the flicker", more)
	}
	if cc := at(0.1, 0, part.ConstantCurrent).Numbers["percent_flicker"]; cc > r.Numbers["percent_flicker"]/3 {
		t.Errorf("a regulating strip flickers by %v %%, a resistor strip by %v %%", cc, r.Numbers["percent_flicker"])
	}
	poor := at(1.5, 0, part.Resistor)
	if !finding.Has(poor.Findings, "flicker.ieee1789") {
		t.Errorf("1.5 V of 100 Hz: %v %%, %v", poor.Numbers["percent_flicker"], poor.Findings)
	}
	for _, f := range poor.Findings {
		if strings.HasPrefix(f.Key, "flicker.") && !strings.HasPrefix(f.What, "ripple of the supply") {
			t.Errorf("says not what flickers: %q", f.What)
		}
	}
	if fast := at(1.5, 1e5, part.Resistor); finding.Has(fast.Findings, "flicker.ieee1789") {
		t.Error("100 kHz is faster than the limits go")
	}
}

// A slow dimmer is warned of even at full drive, a fast one not; numbers are of
// the lamp as it is driven.
func TestDimmerFlicker(t *testing.T) {
	at := func(hz, duty float64) Result {
		l := clone(plainLamp(t))
		l.Dimmer = &part.Dimmer{Item: item("dimmer"), Channels: 1, Limit: 20, Frequency: hz}
		l.Drive = map[string]float64{l.Strip.Channels[0].Name: duty}
		r, err := Lamp(l)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	for _, c := range []struct {
		hz, duty float64
		worst    finding.Severity
		none     bool
		percent  float64
	}{{500, 1, finding.Warn, false, 0}, {500, 0.3, finding.Warn, false, 100}, {2000, 0.3, finding.Note, false, 100}, {4000, 0.3, 0, true, 100}} {
		r := at(c.hz, c.duty)
		var own []finding.Finding
		for _, f := range r.Findings {
			if strings.HasPrefix(f.Key, "flicker.ieee") {
				own = append(own, f)
			}
		}
		if worst, _ := finding.Worst(own); (len(own) == 0) != c.none || worst != c.worst && !c.none {
			t.Errorf("%v Hz at %v: %v", c.hz, c.duty, own)
		}
		if got := r.Numbers["percent_flicker"]; math.Abs(got-c.percent) > 1e-9 {
			t.Errorf("%v Hz at %v: %v %% flicker, want %v", c.hz, c.duty, got, c.percent)
		}
	}
	two := at(500, 0.3)
	if v := two.Variations(); len(v) != 1 || v[0].Supposed || math.Abs(v[0].Result.Index-0.7) > 5e-3 {
		t.Errorf("%+v", v)
	}
}
