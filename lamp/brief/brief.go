// Package brief says what is wanted of a lamp and where the eye, the meter
// and the lamp are.
package brief

import (
	"fmt"
	"math"

	"dawnsmith/lamp/part"
	"dawnsmith/quantity"
)

// Place is the geometry and the air in which a lamp is used and measured.
// The zero value of an optional field means its default, as the comment says.
type Place struct {
	// MeterDistance is from the face plane to a meter on the face's axis that
	// looks at the lamp, m. Default 0.40 m.
	MeterDistance float64 `doc:"meter_distance" dim:"length"`
	// EyeDistance is the straight distance from the eye to the centre of the
	// face, m. Default 0.60 m.
	EyeDistance float64 `doc:"eye_distance" dim:"length"`
	// LampAboveEye is the height of the face's centre above the eye, m; may be
	// negative. Its size is less than EyeDistance.
	LampAboveEye float64 `doc:"lamp_above_eye" dim:"length"`
	// LampAside is how far the face's centre is beside the straight-ahead
	// plane, m.
	LampAside float64 `doc:"lamp_aside" dim:"length"`
	// Tilt turns the face down from upright, rad. Aim, the default, turns it
	// so that its axis meets the eye.
	Tilt float64 `doc:"tilt" dim:"angle"`
	// Fixed says that Tilt is meant as given and not to be aimed.
	Fixed bool `doc:"tilt_fixed"`
	// Gaze is the pitch of the line of sight, up positive, rad. Default level.
	Gaze float64 `doc:"gaze" dim:"angle"`
	// Brow and Cheek are the limits of the field of view above and below the
	// line of sight, rad. Defaults 50° and 70°.
	Brow  float64 `doc:"brow_limit" dim:"angle"`
	Cheek float64 `doc:"cheek_limit" dim:"angle"`
	// Air is the temperature of the air at the lamp, K. Default 25 °C: a room
	// of 22 °C and 3 K for the warm air under the ceiling or over a monitor.
	Air float64 `doc:"air_at_lamp" dim:"temperature"`
	// MonitorDistance is the level distance from the eye to a monitor before
	// the lamp, m; 0 where none stands there. It hides what of the face lies
	// below the line from the eye over its upper edge, and is taken to be as
	// wide as the lamp; before it, nothing is hidden.
	MonitorDistance float64 `doc:"monitor_distance" dim:"length"`
	// MonitorEdge is the height of the monitor's upper edge above the eye, m;
	// may be negative. It counts with a MonitorDistance.
	MonitorEdge float64 `doc:"monitor_edge_above_eye" dim:"length"`
	// Surround is the mean luminance around the lamp, cd/m². Default 50.
	Surround float64 `doc:"surround_luminance" dim:"luminance"`
}

// WithDefaults fills what was left out.
func (p Place) WithDefaults() Place {
	def := func(x *float64, d float64) {
		if *x == 0 {
			*x = d
		}
	}
	def(&p.MeterDistance, 0.40)
	def(&p.EyeDistance, 0.60)
	def(&p.Brow, 50*math.Pi/180)
	def(&p.Cheek, 70*math.Pi/180)
	def(&p.Air, 298.15)
	def(&p.Surround, 50)
	return p
}

// Ahead is the horizontal distance from eye to face centre in the plane of
// sight, m: EyeDistance less the parts above and aside.
func (p Place) Ahead() float64 {
	return math.Sqrt(math.Max(0, p.EyeDistance*p.EyeDistance-p.LampAboveEye*p.LampAboveEye-p.LampAside*p.LampAside))
}

// FaceTilt is the tilt used, rad: Tilt when it is fixed, else the one that
// turns the face's axis to the eye's height.
func (p Place) FaceTilt() float64 {
	if p.Fixed {
		return p.Tilt
	}
	return math.Atan2(p.LampAboveEye, p.Ahead())
}

// Monitor is the elevation of the monitor's upper edge seen by the eye, rad, and
// whether the monitor stands between eye and lamp.
func (p Place) Monitor() (elevation float64, between bool) {
	if p.MonitorDistance <= 0 || p.Ahead() <= p.MonitorDistance {
		return 0, false
	}
	return math.Atan2(p.MonitorEdge, p.MonitorDistance), true
}

// Moved is the place as an eye finds it that sits ahead m before the lamp, above
// m higher and with the lamp aside m beside it: lamp, its tilt and the monitor
// stay where they are.
func (p Place) Moved(ahead, above, aside float64) Place {
	p.Fixed, p.Tilt = true, p.FaceTilt()
	if p.MonitorDistance > 0 {
		p.MonitorDistance = math.Max(0, p.MonitorDistance+ahead-p.Ahead())
		p.MonitorEdge -= above
	}
	p.LampAboveEye -= above
	p.LampAside = aside
	p.EyeDistance = math.Sqrt(ahead*ahead + p.LampAboveEye*p.LampAboveEye + aside*aside)
	return p
}

// Elevation is the angle of the face's centre above the level line from the
// eye, rad.
func (p Place) Elevation() float64 {
	return math.Asin(math.Max(-1, math.Min(1, p.LampAboveEye/p.EyeDistance)))
}

// Check returns an error for the first field outside its range; call it on a
// Place with its defaults filled.
func (p Place) Check() error {
	deg := func(x float64) float64 { return x * 180 / math.Pi }
	for _, c := range []struct {
		key       string
		x, lo, hi float64
		found     string
		allowed   string
	}{
		{"meter_distance", p.MeterDistance, 0.05, 10, quantity.Format(p.MeterDistance, quantity.Length, 4), "50 mm to 10 m"},
		{"eye_distance", p.EyeDistance, 0.1, 10, quantity.Format(p.EyeDistance, quantity.Length, 4), "100 mm to 10 m"},
		{"lamp_above_eye", math.Hypot(p.LampAboveEye, p.LampAside), 0, 0.97 * p.EyeDistance, quantity.Format(p.LampAboveEye, quantity.Length, 4), "less than eye_distance, which is measured straight from eye to face"},
		{"tilt", deg(p.Tilt), -90, 90, quantity.Format(p.Tilt, quantity.Angle, 3), "−90° to 90°"},
		{"gaze", deg(p.Gaze), -60, 60, quantity.Format(p.Gaze, quantity.Angle, 3), "−60° to 60°"},
		{"brow_limit", deg(p.Brow), 10, 90, quantity.Format(p.Brow, quantity.Angle, 3), "10° to 90°"},
		{"cheek_limit", deg(p.Cheek), 10, 90, quantity.Format(p.Cheek, quantity.Angle, 3), "10° to 90°"},
		{"air_at_lamp", p.Air, 263.15, 323.15, quantity.Format(p.Air, quantity.Temperature, 3), "−10 °C to 50 °C"},
		{"monitor_distance", p.MonitorDistance, 0, 5, quantity.Format(p.MonitorDistance, quantity.Length, 4), "0 (no monitor) to 5 m"},
		{"monitor_edge_above_eye", p.MonitorEdge, -2, 2, quantity.Format(p.MonitorEdge, quantity.Length, 4), "−2 m to 2 m"},
		{"surround_luminance", p.Surround, 0.1, 1e5, quantity.Format(p.Surround, quantity.Luminance, 3), "0.1 to 100 000 cd/m²"},
	} {
		if !(c.x >= c.lo && c.x <= c.hi) {
			return fmt.Errorf("place: %s is %s; allowed is %s", c.key, c.found, c.allowed)
		}
	}
	if p.MonitorDistance > 0 && p.MonitorDistance < 0.1 {
		return fmt.Errorf("place: monitor_distance is %s; allowed is 0 (no monitor), or 100 mm to 5 m", quantity.Format(p.MonitorDistance, quantity.Length, 4))
	}
	if p.MonitorEdge != 0 && p.MonitorDistance == 0 {
		return fmt.Errorf("place: monitor_edge_above_eye is %s and monitor_distance is missing; give the level distance from the eye to the monitor, or leave both out", quantity.Format(p.MonitorEdge, quantity.Length, 4))
	}
	return nil
}

// Brief is what is wanted of a lamp. A zero limit is no limit.
type Brief struct {
	Schema int    `doc:"schema,required"`
	Name   string `doc:"name,required"`
	Note   string `doc:"note"`
	// For is how long the light is to be used a day, s; it is compared with
	// the minutes that the reached illuminance asks for.
	For    float64 `doc:"session" dim:"time"`
	Place  Place   `doc:"place"`
	Wanted Wanted  `doc:"wanted,required"`
}

// Wanted holds the limits of a brief, in SI.
type Wanted struct {
	// MeterIlluminance at least, lx: mean over the meter's disc, meter facing
	// the lamp on axis at Place.MeterDistance.
	MeterIlluminance float64 `doc:"meter_illuminance_min" dim:"illuminance"`
	// EyeMelanopic at least, lx melanopic EDI, vertical plane at the eye.
	EyeMelanopic float64 `doc:"eye_melanopic_edi_min" dim:"illuminance"`
	// FaceLuminance at most, cd/m²: mean over the face, seen squarely.
	FaceLuminance float64 `doc:"face_mean_luminance_max" dim:"luminance"`
	// Ripple at most: (max−min)/(max+min) of the spots at the face centre.
	Ripple float64 `doc:"ripple_max" dim:"ratio"`
	// CCTLow and CCTHigh bound the colour temperature of the light, K.
	CCTLow  float64 `doc:"cct_min" dim:"colour-temperature"`
	CCTHigh float64 `doc:"cct_max" dim:"colour-temperature"`
	// Ra at least.
	Ra float64 `doc:"ra_min"`
	// Length at most of the tray's longer side, m; Depth of the tray, m.
	Length float64 `doc:"tray_length_max" dim:"length"`
	Depth  float64 `doc:"tray_depth_max" dim:"length"`
	// Mains power at most, W.
	MainsPower float64 `doc:"mains_power_max" dim:"power"`
	// Mass of the hanging lamp at most, kg.
	Mass float64 `doc:"mass_max" dim:"mass"`
	// Price of the first lamp, without tools, at most.
	Price part.Money `doc:"first_lamp_price_max"`
}

// Check returns an error for the first field that makes no sense.
func (b Brief) Check() error {
	if err := b.Place.WithDefaults().Check(); err != nil {
		return err
	}
	w := b.Wanted
	for _, c := range []struct {
		key    string
		x, hi  float64
		reason string
	}{
		{"session", b.For, 6 * 3600, "up to 6 h"},
		{"wanted.meter_illuminance_min", w.MeterIlluminance, 1e5, "up to 100 000 lx"},
		{"wanted.eye_melanopic_edi_min", w.EyeMelanopic, 1e5, "up to 100 000 lx"},
		{"wanted.face_mean_luminance_max", w.FaceLuminance, 1e7, "up to 10 000 000 cd/m²"},
		{"wanted.ripple_max", w.Ripple, 1, "0 to 1, or a percentage"},
		{"wanted.cct_min", w.CCTLow, 20000, "up to 20 000 K"},
		{"wanted.cct_max", w.CCTHigh, 20000, "up to 20 000 K"},
		{"wanted.ra_min", w.Ra, 100, "up to 100"},
		{"wanted.tray_length_max", w.Length, 5, "up to 5 m"},
		{"wanted.tray_depth_max", w.Depth, 1, "up to 1 m"},
		{"wanted.mains_power_max", w.MainsPower, 5000, "up to 5000 W"},
		{"wanted.mass_max", w.Mass, 200, "up to 200 kg"},
	} {
		if !(c.x >= 0 && c.x <= c.hi) {
			return fmt.Errorf("brief %q: %s is %v in SI; allowed is 0 (no limit) %s", b.Name, c.key, c.x, c.reason)
		}
	}
	if w.CCTHigh > 0 && w.CCTLow > w.CCTHigh {
		return fmt.Errorf("brief %q: wanted.cct_min %.0f K lies above cct_max %.0f K; swap them", b.Name, w.CCTLow, w.CCTHigh)
	}
	if w.MeterIlluminance == 0 && w.EyeMelanopic == 0 {
		return fmt.Errorf("brief %q asks for no light; give wanted.meter_illuminance_min or wanted.eye_melanopic_edi_min", b.Name)
	}
	return nil
}
