package part

import (
	"fmt"

	"dawnsmith/quantity"
)

// Supply is a bought, certified DC supply, used as sold.
type Supply struct {
	Item
	Voltage      quantity.Value `doc:"voltage,required" dim:"voltage" u:"1.2%"` // open-circuit output, V
	Rating       float64        `doc:"rating,required" dim:"power"`             // W
	Resistance   float64        `doc:"output_resistance" dim:"resistance"`      // Ω
	Efficiency   quantity.Value `doc:"efficiency" dim:"ratio" u:"0.02"`         // at half to full load; 0: 0.88
	NoLoad       float64        `doc:"no_load" dim:"power"`                     // W at the mains
	PowerLimited bool           `doc:"power_limited"`                           // class 2 or limited power source, as marked
	Insulated    bool           `doc:"double_insulated"`                        // class II
	Outlet       string         `doc:"outlet"`                                  // id of the connector it ends in
	CaseLimit    float64        `doc:"case_limit" dim:"temperature"`            // K; 0: 70 °C
	Ripple       float64        `doc:"ripple" dim:"voltage"`                    // V peak to peak at load; 0: not known
	RippleHz     float64        `doc:"ripple_frequency" dim:"frequency"`        // Hz; 0: see RippleFrequency
	Mass         float64        `doc:"mass" dim:"mass"`                         // kg
}

// RippleFrequency is RippleHz or, where it is not known, 100 Hz: twice a mains
// of 50 Hz, the slowest that a plain supply lets through and so the worst case.
func (s Supply) RippleFrequency() float64 {
	if s.RippleHz == 0 {
		return 100
	}
	return s.RippleHz
}

// Rated is the rated output current, A.
func (s Supply) Rated() float64 { return s.Rating / s.Voltage.X }

// Check returns a *Fault for the first field outside its range.
func (s Supply) Check() error {
	k, id := "supply", s.ID
	return first(s.Item.check(k),
		within(k, id, "voltage", s.Voltage.X, 3, 60, quantity.Format(s.Voltage.X, quantity.Voltage, 4), "3 V to 60 V DC: higher is not extra-low voltage"),
		within(k, id, "rating", s.Rating, 1, 2000, quantity.Format(s.Rating, quantity.Power, 4), "1 W to 2000 W"),
		within(k, id, "output_resistance", s.Resistance, 0, 5, fmt.Sprint(s.Resistance)+" Ω", "0 to 5 Ω"),
		ratio(k, id, "efficiency", s.Efficiency.X, 0, 0.99),
		within(k, id, "ripple", s.Ripple, 0, s.Voltage.X/2, quantity.Format(s.Ripple, quantity.Voltage, 3), "0 (not known) to half the supply's voltage, peak to peak"),
		within(k, id, "ripple_frequency", s.RippleHz, 0, 1e6, quantity.Format(s.RippleHz, quantity.Frequency, 3), "0 (not known) to 1 MHz"),
		within(k, id, "no_load", s.NoLoad, 0, 20, quantity.Format(s.NoLoad, quantity.Power, 3), "0 to 20 W"),
		within(k, id, "mass", s.Mass, 0, 20, fmt.Sprint(s.Mass)+" kg", "0 to 20 kg"))
}

// Wire is a single insulated conductor, sold by length: Pack is in m.
type Wire struct {
	Item
	Area     float64 `doc:"area,required" dim:"cross-section"` // copper, m²
	Limit    float64 `doc:"limit,required" dim:"current"`      // A, the maker's or a cautious rating inside a lamp
	Stranded bool    `doc:"stranded"`
	Diameter float64 `doc:"diameter" dim:"length"` // over the insulation, m
}

// Check returns a *Fault for the first field outside its range.
func (w Wire) Check() error {
	k, id := "wire", w.ID
	return first(w.Item.check(k),
		within(k, id, "area", w.Area*1e6, 0.02, 20, fmt.Sprintf("%.3g mm²", w.Area*1e6), "0.02 mm² to 20 mm² (34 to 4 AWG)"),
		within(k, id, "limit", w.Limit, 0.1, 100, quantity.Format(w.Limit, quantity.Current, 3), "0.1 A to 100 A"),
		within(k, id, "diameter", w.Diameter, 0, 0.03, quantity.Format(w.Diameter, quantity.Length, 3), "0 to 30 mm"))
}

// Connector joins lead and lamp.
type Connector struct {
	Item
	Limit   float64 `doc:"limit,required" dim:"current"`        // A
	Contact float64 `doc:"contact_resistance" dim:"resistance"` // per pole, Ω
	Poles   int     `doc:"poles,required"`                      // 2, or 3 for two channels
}

// Check returns a *Fault for the first field outside its range.
func (c Connector) Check() error {
	k, id := "connector", c.ID
	return first(c.Item.check(k),
		within(k, id, "limit", c.Limit, 0.1, 100, quantity.Format(c.Limit, quantity.Current, 3), "0.1 A to 100 A"),
		within(k, id, "contact_resistance", c.Contact, 0, 1, fmt.Sprint(c.Contact)+" Ω", "0 to 1 Ω"),
		within(k, id, "poles", float64(c.Poles), 2, 12, fmt.Sprint(c.Poles), "2 to 12"))
}

// Fuse protects the lead and everything behind it.
type Fuse struct {
	Item
	Rating  float64 `doc:"rating,required" dim:"current"`  // A
	Voltage float64 `doc:"voltage,required" dim:"voltage"` // V DC it can break
}

// Check returns a *Fault for the first field outside its range.
func (f Fuse) Check() error {
	k, id := "fuse", f.ID
	return first(f.Item.check(k),
		within(k, id, "rating", f.Rating, 0.05, 40, quantity.Format(f.Rating, quantity.Current, 3), "0.05 A to 40 A"),
		within(k, id, "voltage", f.Voltage, 12, 1000, quantity.Format(f.Voltage, quantity.Voltage, 3), "12 V to 1000 V"))
}

// Dimmer is a low-voltage pulse-width dimmer between supply and strip.
type Dimmer struct {
	Item
	Channels    int     `doc:"channels,required"`
	Limit       float64 `doc:"limit,required" dim:"current"`       // A per channel
	Resistance  float64 `doc:"on_resistance" dim:"resistance"`     // Ω
	Frequency   float64 `doc:"frequency,required" dim:"frequency"` // Hz of its pulses
	Bits        int     `doc:"bits"`                               // resolution
	VoltageLow  float64 `doc:"voltage_from" dim:"voltage"`         // V
	VoltageHigh float64 `doc:"voltage_to" dim:"voltage"`           // V
}

// Check returns a *Fault for the first field outside its range.
func (d Dimmer) Check() error {
	k, id := "dimmer", d.ID
	return first(d.Item.check(k),
		within(k, id, "channels", float64(d.Channels), 1, 8, fmt.Sprint(d.Channels), "1 to 8"),
		within(k, id, "limit", d.Limit, 0.1, 100, quantity.Format(d.Limit, quantity.Current, 3), "0.1 A to 100 A"),
		within(k, id, "on_resistance", d.Resistance, 0, 1, fmt.Sprint(d.Resistance)+" Ω", "0 to 1 Ω"),
		within(k, id, "frequency", d.Frequency, 50, 1e6, quantity.Format(d.Frequency, quantity.Frequency, 3), "50 Hz to 1 MHz"),
		within(k, id, "bits", float64(d.Bits), 0, 24, fmt.Sprint(d.Bits), "0 (not known) to 24"))
}

// Mount holds the lamp over the desk.
type Mount struct {
	Item
	Reach  float64 `doc:"reach,required" dim:"length"` // from the clamp to the lamp, m
	Torque float64 `doc:"torque" dim:"torque"`         // its joint holds, N m; 0: not a friction joint
	Load   float64 `doc:"load,required" dim:"mass"`    // it may carry, kg
	Mass   float64 `doc:"mass" dim:"mass"`             // own, kg
}

// Check returns a *Fault for the first field outside its range.
func (m Mount) Check() error {
	k, id := "mount", m.ID
	return first(m.Item.check(k),
		within(k, id, "reach", m.Reach, 0, 3, quantity.Format(m.Reach, quantity.Length, 3), "0 to 3 m"),
		within(k, id, "torque", m.Torque, 0, 200, fmt.Sprint(m.Torque)+" N m", "0 to 200 N m"),
		within(k, id, "load", m.Load, 0.1, 50, fmt.Sprint(m.Load)+" kg", "0.1 to 50 kg"),
		within(k, id, "mass", m.Mass, 0, 50, fmt.Sprint(m.Mass)+" kg", "0 to 50 kg"))
}

// Tool is bought once.
type Tool struct {
	Item
	Optional bool `doc:"optional"`
}

// Check returns a *Fault for the first field outside its range.
func (t Tool) Check() error { return t.Item.check("tool") }

// Consumable is used up; the Per fields say how much of its pack unit one
// lamp takes.
type Consumable struct {
	Item
	PerLamp  float64 `doc:"per_lamp"`        // pack units for every lamp
	PerJoint float64 `doc:"per_joint"`       // pack units a solder joint
	PerStrip float64 `doc:"per_strip_metre"` // pack units a metre of strip
	PerRow   float64 `doc:"per_row"`         // pack units a row
	PerBack  float64 `doc:"per_back_area"`   // pack units a m² of painted back
	// ForBack marks the paint for the tray's back: bought only when it is painted.
	ForBack bool `doc:"for_back"`
	// Emissivity of the dry paint, for ForBack.
	Emissivity float64 `doc:"emissivity" dim:"ratio"`
}

// Check returns a *Fault for the first field outside its range.
func (c Consumable) Check() error {
	k, id := "consumable", c.ID
	err := c.Item.check(k)
	for _, x := range []struct {
		field string
		v     float64
	}{{"per_lamp", c.PerLamp}, {"per_joint", c.PerJoint}, {"per_strip_metre", c.PerStrip}, {"per_row", c.PerRow}, {"per_back_area", c.PerBack}} {
		err = first(err, within(k, id, x.field, x.v, 0, 1e4, fmt.Sprint(x.v), "0 to 10 000"))
	}
	if c.ForBack {
		err = first(err, ratio(k, id, "emissivity", c.Emissivity, 0.05, 1))
	}
	return err
}
