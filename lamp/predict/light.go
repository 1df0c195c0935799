package predict

import (
	"fmt"
	"math"

	"dawnsmith/lamp"
	"dawnsmith/lamp/optics"
	"dawnsmith/lamp/part"
	"dawnsmith/light/phosphor"
	"dawnsmith/light/spectrum"
)

// Source is the light of one channel as it leaves the LEDs.
type Source struct {
	Name string
	// Spectrum is scaled to 1 lm.
	Spectrum spectrum.Spectrum
	// LER is its luminous efficacy of radiation, lm/W.
	LER float64
	// Synthesised says that the spectrum is not measured but made from kelvin,
	// rendition and pump; Origin says so in words.
	Synthesised bool
	Origin      string
	Pump        part.Pump
}

// Light gives the source of a channel: the published spectrum that it names,
// or one synthesised from its label. cct overrides the label's colour
// temperature (K); 0 leaves it.
func Light(c part.Channel, cct float64) (Source, error) {
	if cct == 0 {
		cct = c.CCT.X
	}
	src := Source{Name: c.Name, Pump: c.Pump}
	if c.Spectrum != "" {
		s, err := spectrum.Illuminant(c.Spectrum)
		if err != nil {
			return Source{}, fmt.Errorf("channel %q: %w", c.Name, err)
		}
		src.Spectrum, src.Origin = s, "published spectrum "+c.Spectrum
	} else {
		made, err := phosphor.White(recipe(c, cct))
		if err != nil {
			return Source{}, fmt.Errorf("channel %q: %w", c.Name, err)
		}
		src.Spectrum, src.Synthesised = made.Spectrum, true
		src.Origin = fmt.Sprintf("synthesised from the label: %.0f K, Ra %.0f, %s pump", cct, c.Ra, c.Pump)
	}
	s, err := src.Spectrum.ScaleTo(1)
	if err != nil {
		return Source{}, fmt.Errorf("channel %q: %w", c.Name, err)
	}
	src.Spectrum, src.LER = s, s.LER()
	return src, nil
}

// recipe is what a label says of a channel's light; cct overrides its colour
// temperature (K) unless 0.
func recipe(c part.Channel, cct float64) phosphor.Recipe {
	if cct == 0 {
		cct = c.CCT.X
	}
	r := phosphor.Recipe{CCT: cct, Ra: c.Ra, Pump: phosphor.Blue}
	if c.Pump == part.VioletPump {
		r.Pump = phosphor.Violet
	}
	return r
}

// bandStep is the width of the bands in which lining and sheet are followed,
// nm; between band centres the share of light that leaves runs straight.
const bandStep = 10

// transport gives the share of the LEDs' light that leaves the box at each
// nanometre, relative to the share at 555 nm, from the balance of the box band
// by band; it is 1 everywhere when neither lining nor sheet has a curve.
func transport(l lamp.Lamp, o *optics.Prepared, f optics.Finish) (spectrum.Spectrum, error) {
	var lining, sheet part.Curve
	if l.Lining != nil {
		lining = l.Lining.Curve
	}
	if l.Sheet != nil {
		sheet = l.Sheet.Curve
	}
	if len(lining) == 0 && len(sheet) == 0 {
		return spectrum.Func(func(float64) float64 { return 1 }), nil
	}
	share := func(nm float64) (float64, error) {
		b := f
		if l.Lining != nil {
			b.Walls.Reflectance = math.Min(0.995, lining.At(nm, f.Walls.Reflectance))
			if l.Spec.LineFloor {
				b.Floor.Reflectance = math.Min(0.995, lining.At(nm, f.Floor.Reflectance))
			}
		}
		if len(sheet) > 0 {
			// Absorptance stays; what does not pass comes back.
			a := 1 - f.Sheet.T - f.Sheet.R
			b.Sheet.T = math.Min(sheet.At(nm, f.Sheet.T), 1-a)
			b.Sheet.R = math.Max(0, 1-a-b.Sheet.T)
		}
		q, err := o.Screen(b)
		return q.Efficiency, err
	}
	ref, err := share(555)
	if err != nil {
		return spectrum.Spectrum{}, err
	}
	const n = (spectrum.Last-spectrum.First)/bandStep + 1
	var eta [n]float64
	for i := range eta {
		if eta[i], err = share(float64(spectrum.First + i*bandStep)); err != nil {
			return spectrum.Spectrum{}, err
		}
	}
	return spectrum.Func(func(nm float64) float64 {
		x := (nm - spectrum.First) / bandStep
		i := min(int(x), n-2)
		t := x - float64(i)
		return (eta[i]*(1-t) + eta[i+1]*t) / ref
	}), nil
}
