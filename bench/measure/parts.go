package measure

import (
	"fmt"
	"math"

	"dawnsmith/lamp/optics"
	"dawnsmith/lamp/part"
	"dawnsmith/quantity"
)

// Reading is a plain reading of the instrument as a value: its calibration,
// linearity and zero under the names that all its readings share, and its
// scatter (0.3 % for light, else only the last digit) under the label. So a
// ratio of two readings of one meter keeps only what the two do not share.
// x is in the unit of the reading; the error is an *InputError.
func (i Instrument) Reading(x float64, label string) (quantity.Value, error) {
	if err := i.Check(); err != nil {
		return quantity.Value{}, err
	}
	if strange(x) {
		return quantity.Value{}, bad(label, x, "an ordinary number", "")
	}
	i, _ = i.WithDefaults()
	b := ofInstrument(i, label, "", x)
	// Linearity is what does not cancel between a high and a low reading.
	for k := range b.Parts {
		if b.Parts[k].Source == i.Source("linearity") {
			b.Parts[k].Source = label + ", linearity of " + i.ID
		}
	}
	if i.Kind == LuxMeter || i.Kind == Spectrometer || i.Kind == PhoneApp {
		b.Parts = append(b.Parts, Contributor{Source: label + " scatter", U: 0.003 * math.Abs(x), Slope: 1})
	}
	return b.Value(), nil
}

// Part readings turn what was read at the bench into a part whose values
// replace the data sheet's. Each returns the whole part, to be laid over the
// catalogue in a part.Set; the part given is not changed.

// Sheet is a diffuser with the transmittance and reflectance read at the
// bench. with and without are lux through one sheet laid on the meter, and
// without it, under the same all-round light; two, if not nil, through two
// sheets: it gives the reflectance, which otherwise follows from kind's usual
// absorptance. T, R and A stay 1 together.
func Sheet(s part.Sheet, with, without quantity.Value, two *quantity.Value, kind optics.SheetKind) (part.Sheet, error) {
	t, err := optics.TransmittanceFromLux(with, without)
	if err != nil {
		return s, fmt.Errorf("sheet %s: %w", s.ID, err)
	}
	var r quantity.Value
	if two != nil {
		t2, err := optics.TransmittanceFromLux(*two, without)
		if err != nil {
			return s, fmt.Errorf("sheet %s: %w", s.ID, err)
		}
		if r, err = optics.ReflectanceFromTwoSheets(t, t2); err != nil {
			return s, fmt.Errorf("sheet %s: %w", s.ID, err)
		}
		// Readings may leave less than nothing for absorption.
		r.X = math.Min(r.X, 1-t.X)
	} else if r, err = optics.ReflectanceFromClosure(t, kind.Absorptance()); err != nil {
		return s, fmt.Errorf("sheet %s: %w", s.ID, err)
	}
	s.Transmittance, s.Reflectance = t, r
	return s, s.Check()
}

// Lining is a reflector with the reflectance read against copy paper (diffuse
// linings).
func Lining(l part.Lining, lining, paper quantity.Value) (part.Lining, error) {
	r, err := optics.ReflectanceFromPaper(lining, paper, optics.CopyPaper())
	if err != nil {
		return l, fmt.Errorf("lining %s: %w", l.ID, err)
	}
	l.Reflectance = r
	return l, l.Check()
}

// MirrorLining is a reflector with the reflectance read in a lamp's beam.
func MirrorLining(l part.Lining, mirrored, direct quantity.Value) (part.Lining, error) {
	r, err := optics.ReflectanceFromMirror(mirrored, direct)
	if err != nil {
		return l, fmt.Errorf("lining %s: %w", l.ID, err)
	}
	l.Reflectance = r
	return l, l.Check()
}

// StripPower is a strip with the power of one channel read at the bench: volts
// and amperes into a piece of length m, fed so that its own copper hardly
// counts (a metre or less, or fed at both ends), at the strip's nominal
// voltage within 2 %.
func StripPower(s part.Strip, channel int, volts, amps quantity.Value, length float64) (part.Strip, error) {
	if channel < 0 || channel >= len(s.Channels) {
		return s, bad("channel", channel, fmt.Sprintf("0 to %d", len(s.Channels)-1), "")
	}
	if err := firstOf(
		within("length", length, s.Cut, 5, "one cut unit to 5 m", "give the length in metres"),
		within("volts", volts.X, 0.98*s.Voltage, 1.02*s.Voltage, fmt.Sprintf("%g V within 2 %%", s.Voltage), "set the supply to the strip's voltage: its current rises steeply with it"),
		within("amps", amps.X, 1e-4, 50, "above 0", "")); err != nil {
		return s, err
	}
	p := volts.Mul(amps).Scale(1 / length)
	s.Channels = append([]part.Channel(nil), s.Channels...)
	s.Channels[channel].MeasuredPower = p
	return s, s.Check()
}

// StripFlux is a strip with the flux per metre of one channel as read, lm/m,
// at the label's power and pads at 25 °C.
func StripFlux(s part.Strip, channel int, perMetre quantity.Value) (part.Strip, error) {
	if channel < 0 || channel >= len(s.Channels) {
		return s, bad("channel", channel, fmt.Sprintf("0 to %d", len(s.Channels)-1), "")
	}
	s.Channels = append([]part.Channel(nil), s.Channels...)
	s.Channels[channel].Flux = perMetre
	return s, s.Check()
}

// Supply is a supply with the open-circuit voltage read, and, where loaded and
// amps are given, its output resistance.
func Supply(s part.Supply, open quantity.Value, loaded, amps *quantity.Value) (part.Supply, error) {
	if err := within("open voltage", open.X, 0.8*s.Voltage.X, 1.2*s.Voltage.X, fmt.Sprintf("within a fifth of %g V", s.Voltage.X), "check the supply and the meter's range"); err != nil {
		return s, err
	}
	s.Voltage = open
	if loaded != nil && amps != nil {
		if err := firstOf(within("loaded voltage", loaded.X, 0.5*open.X, open.X, "below the open voltage", ""), within("amps", amps.X, 1e-3, 100, "above 0", "")); err != nil {
			return s, err
		}
		s.Resistance = (open.X - loaded.X) / amps.X
	}
	return s, s.Check()
}
