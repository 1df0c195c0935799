package heat

import (
	"errors"
	"fmt"
	"math"
)

// Site is where a temperature was read.
type Site uint8

const (
	// OnTray is the warmest place of the tray's back.
	OnTray Site = iota
	// OnStrip is the strip's board beside an LED of the warmest row.
	OnStrip
	// OnSheet is the middle of the sheet.
	OnSheet
)

var siteNames = [...]string{"tray", "strip", "sheet"}

// String gives tray, strip or sheet.
func (s Site) String() string {
	if int(s) < len(siteNames) {
		return siteNames[s]
	}
	return fmt.Sprintf("site(%d)", int(s))
}

// SiteNamed finds a site by its name.
func SiteNamed(name string) (Site, error) {
	for i, n := range siteNames {
		if n == name {
			return Site(i), nil
		}
	}
	return 0, fmt.Errorf("place of a reading is %q; allowed is tray, strip or sheet", name)
}

// Reading is a temperature measured on a running lamp.
type Reading struct {
	At          Site
	Temperature float64 // K
	After       float64 // s since switching on; 0: settled
	Air         float64 // K, at the lamp while it was read; 0: Input.Ambient
}

// Correction is how much heat the readings ask for.
type Correction struct {
	Factor    float64   // heat that the readings ask for over the heat put in
	Each      []float64 // the factor of each reading
	Predicted []float64 // K, what was expected at each reading before
}

// ErrReading says that no amount of heat within reason explains a reading.
var ErrReading = errors.New("no reasonable amount of heat explains this reading")

// Limits of Correction.Factor; a lamp that asks for more or less is another
// one, or was read wrongly.
const (
	leastFactor = 0.2
	mostFactor  = 3.0
)

// Correct finds the factor on all heats of the lamp that makes the model read
// what was read; with several readings, the mean of their factors.
//
// One number cannot tell fewer watts from better cooling, nor either from a
// thermometer that reads low: only the sum of them is corrected.
//
// Validity: factors from 0.2 to 3, else ErrReading. Read after Warm's Soak for
// a settled reading; earlier ones are carried on along the warm-up curve.
//
// Not modelled: the sheet's own spread, air that warms while the lamp runs.
func Correct(in *Input, rs []Reading) (Correction, error) {
	if len(rs) == 0 {
		return Correction{Factor: 1}, nil
	}
	if err := in.Validate(); err != nil {
		return Correction{}, err
	}
	c := Correction{}
	for i, r := range rs {
		name := fmt.Sprintf("reading %d (%s)", i+1, r.At)
		for _, err := range []error{
			span(name+" temperature", r.Temperature, 250, 420, "K"), span(name+" time", r.After, 0, 7*86400, "s"),
		} {
			if err != nil {
				return Correction{}, err
			}
		}
		if r.At > OnSheet {
			return Correction{}, &FieldError{Field: name + " place", Found: r.At.String(), Allowed: "tray, strip or sheet"}
		}
		then := in.in(r)
		if r.Air != 0 {
			if err := span(name+" air", r.Air, 250, 340, "K"); err != nil {
				return Correction{}, err
			}
		}
		if r.Temperature < then.Ambient+2 {
			return Correction{}, &FieldError{Field: name + " temperature", Found: celsius(r.Temperature),
				Allowed: fmt.Sprintf("2 K or more over the air's %s: read it warm, and give the air at the lamp as it was", celsius(then.Ambient))}
		}
		now, err := then.expect(r)
		if err != nil {
			return Correction{}, err
		}
		f, err := then.factorFor(r)
		if err != nil {
			return Correction{}, err
		}
		c.Predicted, c.Each = append(c.Predicted, now), append(c.Each, f)
		c.Factor += f / float64(len(rs))
	}
	return c, nil
}

// in is the lamp in the air in which r was read.
func (in *Input) in(r Reading) *Input {
	out := *in
	if r.Air != 0 {
		out.Ambient = r.Air
	}
	return &out
}

// Corrected is the lamp with its heats as the readings ask for.
func (in *Input) Corrected(c Correction) Input { return in.scaled(c.Factor) }

// expect is what the model gives at the reading's place and time, K.
func (in *Input) expect(r Reading) (float64, error) {
	s, err := Series(in)
	if err != nil {
		return 0, err
	}
	t := [...]float64{s.BackTouch, s.Pad, s.Diffuser}[r.At]
	if r.After == 0 {
		return t, nil
	}
	w, err := Warm(in)
	if err != nil {
		return 0, err
	}
	floor, sheet := w.at(r.After)
	end := w.Curve[len(w.Curve)-1]
	done := (floor - in.Ambient) / (end.Floor - in.Ambient)
	if r.At == OnSheet {
		done = (sheet - in.Ambient) / (end.Diffuser - in.Ambient)
	}
	return in.Ambient + (t-in.Ambient)*done, nil
}

// at interpolates the warm-up curve at t s; past its end it holds the end.
func (w *WarmUp) at(t float64) (floor, sheet float64) {
	last := w.Curve[0]
	for _, m := range w.Curve[1:] {
		if m.Time >= t && m.Time > last.Time {
			f := (t - last.Time) / (m.Time - last.Time)
			return last.Floor + f*(m.Floor-last.Floor), last.Diffuser + f*(m.Diffuser-last.Diffuser)
		}
		last = m
	}
	return last.Floor, last.Diffuser
}

// factorFor finds by false position (Illinois) the factor at which the model
// reads r.
func (in *Input) factorFor(r Reading) (float64, error) {
	off := func(f float64) (float64, error) {
		v := in.scaled(f)
		t, err := v.expect(r)
		if errors.Is(err, ErrTooHot) {
			return 400 - r.Temperature + f, nil // hotter than any reading
		}
		return t - r.Temperature, err
	}
	lo, hi := leastFactor, mostFactor
	a, err := off(lo)
	if err != nil {
		return 0, err
	}
	b, err := off(hi)
	if err != nil {
		return 0, err
	}
	if a > 0 || b < 0 {
		word := "less than a fifth of"
		if b < 0 {
			word = "more than three times"
		}
		return 0, fmt.Errorf("%s read at %s asks for %s the heat predicted: %w; check the thermometer, the air and the lamp's watts", r.At, celsius(r.Temperature), word, ErrReading)
	}
	side := 0
	for range 60 {
		f := (lo*b - hi*a) / (b - a)
		v, err := off(f)
		if err != nil {
			return 0, err
		}
		if math.Abs(v) < 1e-3 || hi-lo < 1e-6 {
			return f, nil
		}
		if v > 0 {
			if hi, b = f, v; side == 1 {
				a /= 2
			}
			side = 1
		} else {
			if lo, a = f, v; side == -1 {
				b /= 2
			}
			side = -1
		}
	}
	return 0, ErrNotSettled
}

func celsius(k float64) string { return fmt.Sprintf("%.1f °C", k-273.15) }
