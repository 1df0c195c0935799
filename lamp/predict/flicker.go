package predict

import (
	"fmt"
	"math"

	"dawnsmith/finding"
	"dawnsmith/lamp"
	"dawnsmith/light/flicker"
	"dawnsmith/quantity"
)

// Variation is one cause that makes the lamp's light vary in time.
type Variation struct {
	Name     string // "dimmed to 30 %", "ripple of the supply"
	Shape    flicker.Shape
	Result   *flicker.Result
	Pulses   bool // of a dimmer; else of the supply's ripple
	Supposed bool // the lamp as it is driven does not vary so: its dimmer at half
}

// Variations lists what makes the lamp's light vary in time: the pulses of its
// dimmer, at the duty of the first channel that is dimmed or, when none is, at
// half; and the ripple of its supply, where the part states one. Both are judged
// alone. The strongest comes first. The Quick grade does not look for them.
//
// Not modelled: a capacitor before the strip, ripple that changes with the load,
// the response of the LEDs (their phosphor follows within microseconds; a few
// red phosphors within milliseconds, from memory). Source: flicker.RippleDepth.
func (r *Result) Variations() []Variation { return r.varies }

func (r *Result) variations() []Variation {
	var out []Variation
	l := r.Lamp
	if l.Dimmer != nil {
		duty, dimmed := 0.5, false
		for c := range l.Strip.Channels {
			if d := l.Duty(c); d > 0 && d < 1 {
				duty, dimmed = d, true
				break
			}
		}
		f := l.Dimmer.Frequency
		v := Variation{Name: fmt.Sprintf("dimmed to %s", percent(duty)), Pulses: true, Supposed: !dimmed,
			Shape: flicker.Shape{Form: flicker.Square, Frequency: f, Duty: duty, Edge: math.Min(5e-6, 0.2*math.Min(duty, 1-duty)/f)}}
		out = append(out, v)
	}
	if depth := r.rippleDepth(l); depth > 0 {
		out = append(out, Variation{Name: "ripple of the supply", Shape: flicker.Shape{Form: flicker.Sine, Frequency: l.Supply.RippleFrequency(), Depth: depth}})
	}
	kept := out[:0]
	for _, v := range out {
		var err error
		if v.Result, err = v.Shape.Measure(); err == nil {
			kept = append(kept, v)
		}
	}
	return kept
}

// rippleDepth is the modulation of the light by the supply's ripple at the unit
// with least volts, which has the least headroom.
func (r *Result) rippleDepth(l lamp.Lamp) float64 {
	if l.Supply.Ripple == 0 {
		return 0
	}
	v := l.Supply.Voltage.X - r.Numbers[LeadDrop]
	depth := 0.0
	for _, c := range r.layout.Channels {
		if i, g := c.Unit.Current(v); i > 0 {
			depth = math.Max(depth, flicker.RippleDepth(l.Supply.Ripple, i/g))
		}
	}
	return depth
}

// vary looks for the variations and takes the numbers of the strongest one of the
// lamp as it is driven.
func (r *Result) vary() {
	r.varies = r.variations()
	for _, v := range r.varies {
		if !v.Supposed {
			v.Result.Each(func(key string, x float64) { r.Numbers[key] = x })
			return
		}
	}
}

// varying holds the findings about light that varies in time.
func varying(r *Result) []finding.Finding {
	var fs []finding.Finding
	for _, v := range r.Variations() {
		for _, f := range v.Result.Findings {
			f.What = v.Name + ": " + f.What
			if v.Pulses {
				if f.Key == "flicker.ieee1789" {
					f.Cause = fmt.Sprintf("a PWM dimmer switches the light wholly off, here %s times a second", quantity.Digits(v.Shape.Frequency, 3))
				}
				f.Mend = "take a dimmer of 3000 Hz or more (1250 Hz at least), and use this one fully on"
			}
			if !v.Pulses {
				f.Cause = fmt.Sprintf("%s of ripple, peak to peak, on a supply of %s", quantity.Format(r.Lamp.Supply.Ripple, quantity.Voltage, 3), quantity.Format(r.Lamp.Supply.Voltage.X, quantity.Voltage, 3))
				f.Mend = "take a supply with less ripple, or a strip that regulates its current"
			}
			fs = append(fs, f)
		}
	}
	return fs
}
