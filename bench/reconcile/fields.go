package reconcile

import (
	"fmt"
	"math"
	"slices"

	"dawnsmith/lamp"
	"dawnsmith/lamp/part"
	"dawnsmith/quantity"
)

// field is one uncertain part value of a lamp.
type field struct {
	kind, id, key string // as in a parts document: "strip", "white-24v-120", "flux"
	name          string // in words
	dim           quantity.Dimension
	lo, hi        float64 // SI, where the part's check and the model end
	value         func(l *lamp.Lamp) quantity.Value
	// set puts a value in; sheet reflectance follows transmittance.
	set func(l *lamp.Lamp, v quantity.Value)
}

// absorbSource is how a prediction names the sheet's absorptance.
func absorbSource(s *part.Sheet) string { return "sheet " + s.ID + " absorptance (assumed)" }

// absorbU is its standard uncertainty there.
const absorbU = 0.015

// fieldsOf lists the part values of a lamp whose uncertainty a prediction
// spreads.
func fieldsOf(l *lamp.Lamp) []field {
	inf := math.Inf(1)
	var fs []field
	plain := func(kind, id, key, name string, dim quantity.Dimension, lo, hi float64, at func(l *lamp.Lamp) *quantity.Value) {
		fs = append(fs, field{kind, id, key, name, dim, lo, hi,
			func(l *lamp.Lamp) quantity.Value { return *at(l) },
			func(l *lamp.Lamp, v quantity.Value) { *at(l) = v }})
	}
	s := &l.Strip
	for i, c := range s.Channels {
		ch := func(l *lamp.Lamp) *part.Channel { return &l.Strip.Channels[i] }
		// Of two strips that take turns each has one channel.
		id, at := s.ID, i
		if l.Interleaved() {
			id, at = l.Strips()[i].ID, 0
		}
		label := id + " " + c.Name
		fs = append(fs, field{"strip", id, fmt.Sprintf("channel[%d].measured_power", at), "power of " + label, quantity.PowerPerLength, 0.1, inf,
			func(l *lamp.Lamp) quantity.Value { return ch(l).BestPower() },
			func(l *lamp.Lamp, v quantity.Value) { ch(l).MeasuredPower = v }})
		plain("strip", id, fmt.Sprintf("channel[%d].flux", at), "flux of "+label, quantity.FluxPerLength, 1, inf, func(l *lamp.Lamp) *quantity.Value { return &ch(l).Flux })
		plain("strip", id, fmt.Sprintf("channel[%d].flux_per_kelvin", at), "warming loss of "+label, quantity.PerKelvin, -0.01, 0, func(l *lamp.Lamp) *quantity.Value { return &ch(l).FluxPerKelvin })
		if c.Spectrum == "" {
			plain("strip", id, fmt.Sprintf("channel[%d].cct", at), "colour temperature of "+label, quantity.ColourTemperature, 1800, 10000, func(l *lamp.Lamp) *quantity.Value { return &ch(l).CCT })
		}
	}
	if !l.Interleaved() { // else they are of both strips at once, and neither's
		plain("strip", s.ID, "board_reflectance", "board reflectance of "+s.ID, quantity.Ratio, 0, 0.98, func(l *lamp.Lamp) *quantity.Value { return &l.Strip.Reflectance })
		plain("strip", s.ID, "junction_resistance", "junction resistance of "+s.ID, quantity.ThermalResistance, 0, inf, func(l *lamp.Lamp) *quantity.Value { return &l.Strip.JunctionR })
	}
	if l.Lining == nil || !l.Spec.LineFloor {
		plain("tray", l.Tray.ID, "reflectance", "reflectance of "+l.Tray.ID, quantity.Ratio, 0, 0.98, func(l *lamp.Lamp) *quantity.Value { return &l.Tray.Reflectance })
		plain("tray", l.Tray.ID, "mirror_share", "mirror share of "+l.Tray.ID, quantity.Ratio, 0, 1, func(l *lamp.Lamp) *quantity.Value { return &l.Tray.Specular })
		plain("tray", l.Tray.ID, "emissivity_inside", "inner emissivity of "+l.Tray.ID, quantity.Ratio, 0.02, 1, func(l *lamp.Lamp) *quantity.Value { return &l.Tray.EmissivityInside })
	}
	if l.Paint == nil {
		plain("tray", l.Tray.ID, "emissivity_back", "back emissivity of "+l.Tray.ID, quantity.Ratio, 0.02, 1, func(l *lamp.Lamp) *quantity.Value { return &l.Tray.EmissivityBack })
	}
	if l.Lining != nil {
		plain("lining", l.Lining.ID, "reflectance", "reflectance of "+l.Lining.ID, quantity.Ratio, 0, 0.99, func(l *lamp.Lamp) *quantity.Value { return &l.Lining.Reflectance })
		plain("lining", l.Lining.ID, "mirror_share", "mirror share of "+l.Lining.ID, quantity.Ratio, 0, 1, func(l *lamp.Lamp) *quantity.Value { return &l.Lining.Specular })
	}
	if l.Sheet != nil && !l.Doubled() { // of two sheets readings tell only what both do together
		id := l.Sheet.ID
		fs = append(fs, field{"sheet", id, "transmittance", "transmittance of " + id, quantity.Ratio, 0.01, 0.99,
			func(l *lamp.Lamp) quantity.Value { return l.Sheet.Transmittance },
			func(l *lamp.Lamp, v quantity.Value) {
				// What passes more returns less: T + R + A stays 1.
				s := l.Sheet
				s.Reflectance = quantity.Combine(s.Reflectance.X-(v.X-s.Transmittance.X), quantity.Part{Value: v, Slope: -1})
				s.Transmittance = v
			}})
		fs = append(fs, field{"sheet", id, "absorptance", "absorptance of " + id, quantity.Ratio, 0, 0.9,
			func(l *lamp.Lamp) quantity.Value {
				return quantity.Measured(l.Sheet.Absorptance(), absorbU, absorbSource(l.Sheet))
			},
			func(l *lamp.Lamp, v quantity.Value) {
				s := l.Sheet
				s.Reflectance = quantity.Combine(s.Reflectance.X-(v.X-s.Absorptance()), quantity.Part{Value: s.Reflectance, Slope: 1}, quantity.Part{Value: v, Slope: -1})
			}})
		plain("sheet", id, "lobe_width", "lobe width of "+id, quantity.Angle, 5*math.Pi/180, 119*math.Pi/180, func(l *lamp.Lamp) *quantity.Value { return &l.Sheet.LobeWidth })
		plain("sheet", id, "clear_share", "clear share of "+id, quantity.Ratio, 0, 1, func(l *lamp.Lamp) *quantity.Value { return &l.Sheet.Clear })
	}
	plain("supply", l.Supply.ID, "voltage", "voltage of "+l.Supply.ID, quantity.Voltage, 1, 62, func(l *lamp.Lamp) *quantity.Value { return &l.Supply.Voltage })
	plain("supply", l.Supply.ID, "efficiency", "efficiency of "+l.Supply.ID, quantity.Ratio, 0.3, 0.99, func(l *lamp.Lamp) *quantity.Value { return &l.Supply.Efficiency })
	return slices.DeleteFunc(fs, func(f field) bool { return f.value(l).U() == 0 })
}

// clone copies a lamp as deep as the fields reach.
func clone(l lamp.Lamp) lamp.Lamp {
	l.Strip.Channels = slices.Clone(l.Strip.Channels)
	if l.Sheet != nil {
		s := *l.Sheet
		l.Sheet = &s
	}
	if l.Lining != nil {
		s := *l.Lining
		l.Lining = &s
	}
	return l
}

// layerOf holds the parts of a lamp whose fields were set.
func layerOf(l lamp.Lamp, touched []field) part.Set {
	set := part.Set{Schema: 1}
	has := func(kind string) bool {
		return slices.ContainsFunc(touched, func(f field) bool { return f.kind == kind })
	}
	if has("strip") {
		set.Strips = l.Strips()
	}
	if has("tray") {
		set.Trays = []part.Tray{l.Tray}
	}
	if has("lining") {
		set.Linings = []part.Lining{*l.Lining}
	}
	if has("sheet") {
		set.Sheets = []part.Sheet{*l.Sheet}
	}
	if has("supply") {
		set.Supplies = []part.Supply{l.Supply}
	}
	return set
}
