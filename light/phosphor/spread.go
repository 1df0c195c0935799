package phosphor

import (
	"fmt"
	"math"

	"dawnsmith/light/eye"
	"dawnsmith/light/hazard"
	"dawnsmith/light/spectrum"
)

// RelativeSpread are relative standard uncertainties of measures read off a
// made spectrum, for a real LED of the same datasheet figures.
type RelativeSpread struct {
	DER float64 // melanopic daylight efficacy ratio
	KBv float64 // blue-light hazard efficacy
	LER float64 // luminous efficacy of radiation
}

// What is left between a made spectrum and the CIE's LED of the same colour
// temperature, Duv, Ra and pump: root mean square over LED-B1 to LED-B5 (and
// V1, V2), with n − 1, doubled because the bands were fitted to the same few
// LEDs. The package's test holds the undoubled figures.
var residual = [...]RelativeSpread{
	Blue:   {DER: 0.028, KBv: 0.028, LER: 0.028},
	Violet: {DER: 0.084, KBv: 0.066, LER: 0.044},
}

// How well a datasheet settles what the recipe leaves open; common practice,
// no source: dies are sorted to some ±5 nm, an Ra class to some ±2.
const (
	pumpSpread = 3.0 // nm, standard deviation of the pump's wavelength
	raSpread   = 1.5 // standard deviation of Ra within a class
)

// Spread tells how far a real LED of this recipe may be from the made
// spectrum: what is left against the CIE's LEDs, the pump's wavelength
// (3 nm) and Ra (1.5), added in squares. LEDs that mix phosphor white with
// red dies lie outside: LED-BH1 has 14 % less DER than the recipe.
func Spread(r Recipe) (RelativeSpread, error) {
	if err := r.check(); err != nil {
		return RelativeSpread{}, err
	}
	base := &chemistries[r.Pump]
	left, right := *base, *base
	left.pump.middle -= pumpSpread
	right.pump.middle += pumpSpread
	poor, rich := r, r
	poor.Ra, rich.Ra = max(r.Ra-raSpread, 50), min(r.Ra+raSpread, 100)
	sum := residual[r.Pump].squared()
	for _, pair := range [][2]func() (Made, error){
		{func() (Made, error) { return r.make(&left) }, func() (Made, error) { return r.make(&right) }},
		{func() (Made, error) { return poor.make(base) }, func() (Made, error) { return rich.make(base) }},
	} {
		a, err := pair[0]()
		if err != nil {
			return RelativeSpread{}, err
		}
		b, err := pair[1]()
		if err != nil {
			return RelativeSpread{}, err
		}
		d, err := halfDifference(&a.Spectrum, &b.Spectrum)
		if err != nil {
			return RelativeSpread{}, err
		}
		q := d.squared()
		sum.DER, sum.KBv, sum.LER = sum.DER+q.DER, sum.KBv+q.KBv, sum.LER+q.LER
	}
	return RelativeSpread{math.Sqrt(sum.DER), math.Sqrt(sum.KBv), math.Sqrt(sum.LER)}, nil
}

func (r RelativeSpread) squared() RelativeSpread {
	return RelativeSpread{r.DER * r.DER, r.KBv * r.KBv, r.LER * r.LER}
}

// halfDifference is half the relative difference of two lights' measures.
func halfDifference(a, b *spectrum.Spectrum) (RelativeSpread, error) {
	x, err := figures(a)
	if err != nil {
		return RelativeSpread{}, err
	}
	y, err := figures(b)
	if err != nil {
		return RelativeSpread{}, err
	}
	half := func(p, q float64) float64 { return (q - p) / (q + p) }
	return RelativeSpread{half(x.DER, y.DER), half(x.KBv, y.KBv), half(x.LER, y.LER)}, nil
}

// figures are the three measures themselves, in a RelativeSpread's places.
func figures(s *spectrum.Spectrum) (RelativeSpread, error) {
	d, err := eye.MelanopicDER(s)
	if err != nil {
		return RelativeSpread{}, err
	}
	k, err := hazard.BlueEfficacy(s)
	return RelativeSpread{DER: d, KBv: k, LER: s.LER()}, err
}

// TypicalRa is the Ra to expect of an LED sold as of at least a class, 70, 80,
// 90, 95 or 98, and false for other classes. Makers keep a small distance
// above the figure they promise; common practice, no source.
func TypicalRa(class int) (float64, bool) {
	ra, ok := map[int]float64{70: 72.5, 80: 83, 90: 92, 95: 96, 98: 98}[class]
	return ra, ok
}

// Emitter is the spectrum of a coloured LED die of a peak wavelength in nm
// (300–900) and a full width at half maximum in nm (1–200), scaled to a power
// of 1 over all wavelengths.
//
// Formula: normal shape, exp(−4 ln 2 ((λ − λp)/Δ)²)/(Δ·√(π/(4 ln 2))).
func Emitter(peak, width float64) (spectrum.Spectrum, error) {
	if !(peak >= 300 && peak <= 900 && width >= 1 && width <= 200) {
		return spectrum.Spectrum{}, fmt.Errorf("emitter peaks at %g nm with a width of %g nm: a peak of 300 to 900 nm and a width of 1 to 200 nm is allowed", peak, width)
	}
	b := band{peak, width, width}
	s := b.spectrum()
	return s.Scale(1 / (width * math.Sqrt(math.Pi/(4*math.Ln2)))), nil
}
