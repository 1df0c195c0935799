package predict

import (
	"math"
	"testing"

	"dawnsmith/finding"
	"dawnsmith/lamp"
	"dawnsmith/lamp/part"
	"dawnsmith/quantity"
)

// plainLamp is a lamp that nothing is wrong with.
func plainLamp(t testing.TB) lamp.Lamp {
	s := testSpec()
	s.Lining, s.LineFloor, s.Paint, s.Rows = "white", true, "paint", 6
	l := build(t, s)
	l.Connector.Poles = 2
	return l
}

// Every finding of this package and of the lamp itself: a change that raises
// it, and the plain lamp that does not.
func TestFindingsRaisedAndNot(t *testing.T) {
	base, err := Lamp(plainLamp(t))
	if err != nil {
		t.Fatal(err)
	}
	if w, any := finding.Worst(base.Findings); any && w >= finding.Warn {
		t.Fatalf("the plain lamp has findings: %+v", base.Findings)
	}
	mount := func(load, torque float64) *part.Mount {
		return &part.Mount{Item: item("arm"), Reach: 0.5, Load: load, Torque: torque}
	}
	for _, c := range []struct {
		key    string
		change func(l *lamp.Lamp)
	}{
		{"circuit.voltage_match", func(l *lamp.Lamp) { l.Supply.Voltage = quantity.Exact(12) }},
		{"lamp.no_sheet", func(l *lamp.Lamp) { l.Sheet = nil }},
		{"cut.reel_shorter_than_row", func(l *lamp.Lamp) { l.Strip.Reel = 0.2 }},
		{"circuit.connector_poles", func(l *lamp.Lamp) {
			l.Strip = twoChannelStrip()
			l.Spec.Rows = 4
		}},
		{"circuit.dimmer_channels", func(l *lamp.Lamp) {
			l.Strip = twoChannelStrip()
			l.Connector.Poles = 3
			l.Dimmer = &part.Dimmer{Item: item("one"), Channels: 1, Limit: 10, Frequency: 4000}
		}},
		{"lamp.drive_without_dimmer", func(l *lamp.Lamp) { l.Spec.Drive = map[string]float64{"white": 0.5} }},
		{"lamp.painted_twice", func(l *lamp.Lamp) { l.Tray.Painted = true }},
		{"circuit.supply_rating", func(l *lamp.Lamp) { l.Supply.Rating = 24 }},
		{"circuit.supply_margin", func(l *lamp.Lamp) { l.Supply.Rating = 38 }},
		{"circuit.supply_insulation", func(l *lamp.Lamp) { l.Supply.Insulated = false }},
		{"circuit.fuse_missing", func(l *lamp.Lamp) { l.Fuse = nil }},
		{"circuit.fuse_wire", func(l *lamp.Lamp) { l.Fuse.Rating = 10 }},
		{"circuit.fuse_small", func(l *lamp.Lamp) { l.Fuse.Rating = 1 }},
		{"circuit.fuse_volts", func(l *lamp.Lamp) { l.Fuse.Voltage = 14 }},
		{"circuit.wire_current", func(l *lamp.Lamp) { l.Bus.Limit = 0.5 }},
		{"circuit.plug_current", func(l *lamp.Lamp) { l.Connector.Limit = 1 }},
		{"circuit.dimmer_current", func(l *lamp.Lamp) {
			l.Dimmer = &part.Dimmer{Item: item("weak"), Channels: 1, Limit: 1, Frequency: 4000}
		}},
		{"circuit.voltage_drop", func(l *lamp.Lamp) { l.LeadLength = 15 }},
		{"heat.strip", func(l *lamp.Lamp) { l.Spec.Place.Air = 323.15 }},
		{"optics.ripple", func(l *lamp.Lamp) { l.Spec.Rows, l.Tray.Depth = 3, 0.02 }},
		{"optics.dots", func(l *lamp.Lamp) { l.Sheet.Clear = quantity.Exact(0.05) }},
		{"eyes.blue_light", func(l *lamp.Lamp) { l.Sheet.Clear = quantity.Exact(0.6) }},
		{"eyes.violet", func(l *lamp.Lamp) { l.Strip.Channels[0].Pump = part.VioletPump }},
		{"place.elevation", func(l *lamp.Lamp) { l.Spec.Place.LampAboveEye = 0.75 * l.Spec.Place.EyeDistance }},
		{"place.brow", func(l *lamp.Lamp) { l.Spec.Place.LampAboveEye = 0.8 * l.Spec.Place.EyeDistance }},
		{"place.monitor", func(l *lamp.Lamp) {
			l.Spec.Place.MonitorDistance, l.Spec.Place.MonitorEdge = 0.4, 0.15
		}},
		{"mount.load", func(l *lamp.Lamp) { l.Mount = mount(0.3, 0) }},
		{"mount.torque", func(l *lamp.Lamp) { l.Mount = mount(5, 0.3) }},
		{"mount.second", func(l *lamp.Lamp) { l.Mount = mount(5, 5) }},
	} {
		if finding.Has(base.Findings, c.key) {
			t.Errorf("%s: the plain lamp raises it", c.key)
			continue
		}
		l := clone(plainLamp(t))
		fuse := *l.Fuse
		l.Fuse = &fuse
		c.change(&l)
		r, err := Lamp(l)
		if err != nil {
			t.Errorf("%s: %v", c.key, err)
			continue
		}
		if !finding.Has(r.Findings, c.key) {
			var keys []string
			for _, f := range r.Findings {
				keys = append(keys, f.Key)
			}
			t.Errorf("%s is not raised; raised are %v", c.key, keys)
			continue
		}
		for _, f := range r.Findings {
			if f.What == "" || f.Severity >= finding.Warn && (f.Mend == "" || f.Source == "") {
				t.Errorf("%s says too little: %+v", f.Key, f)
			}
		}
	}
}

// A stop that may not be overridden says so.
func TestNoOverride(t *testing.T) {
	l := plainLamp(t)
	l.Sheet = nil
	r, err := Lamp(l)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range r.Findings {
		if f.Key == "lamp.no_sheet" && !f.NoOverride {
			t.Error("bare LEDs could be overridden")
		}
	}
	if math.IsNaN(r.Numbers[MeterLux]) {
		t.Error("bare LEDs give NaN")
	}
}
