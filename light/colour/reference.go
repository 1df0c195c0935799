package colour

import (
	"math"
	"sync"

	"dawnsmith/light/spectrum"
)

// Reference is the kind of light a source is compared with.
type Reference int

const (
	// NoReference: the source has no correlated colour temperature.
	NoReference Reference = iota
	// BlackBody is Planck's radiator.
	BlackBody
	// Blended is the mixture TM-30 takes between 4000 and 5000 K.
	Blended
	// DaylightPhase is a phase of CIE daylight.
	DaylightPhase
)

// String gives none, planck, blend or daylight.
func (r Reference) String() string { return [...]string{"none", "planck", "blend", "daylight"}[r] }

// RenderingReference is the reference light of CIE 13.3-1995 clause 5.2: a
// black body below 5000 K, daylight from there. kelvin must be in
// 1000–25 000.
func RenderingReference(kelvin float64) (spectrum.Spectrum, Reference, error) {
	if kelvin < 5000 {
		s, err := spectrum.Planck(kelvin)
		return s, BlackBody, err
	}
	s, err := spectrum.Daylight(kelvin)
	return s, DaylightPhase, err
}

// FidelityReference is the reference light of ANSI/IES TM-30-20 and
// CIE 224:2017: a black body up to 4000 K, daylight from 5000 K, and between
// them the two mixed in proportion to the temperature, each scaled to the
// same Y of the 10° observer. kelvin must be in 1000–25 000.
func FidelityReference(kelvin float64) (spectrum.Spectrum, Reference, error) {
	if kelvin <= 4000 {
		s, err := spectrum.Planck(kelvin)
		return s, BlackBody, err
	}
	d, err := spectrum.Daylight(kelvin)
	if err != nil || kelvin >= 5000 {
		return d, DaylightPhase, err
	}
	p, err := spectrum.Planck(kelvin)
	if err != nil {
		return p, NoReference, err
	}
	y := &folded().cmf10[1]
	return spectrum.Mix(
		spectrum.Share{Of: &p, Weight: (5000 - kelvin) / 1000 / p.Dot(y)},
		spectrum.Share{Of: &d, Weight: (kelvin - 4000) / 1000 / d.Dot(y)},
	), Blended, nil
}

// standardView is what the samples look like under the reference lights of
// one temperature.
type standardView struct {
	white      [2]float64             // u, v of the CIE 13.3 reference
	test       [testSamples]uvw       // its samples
	evaluation [evaluationSamples]lab // the TM-30 samples under its reference
}

// direct computes the view from the reference spectra themselves, daylight
// from its components.
func (f *fold) direct(kelvin float64) (standardView, error) {
	var r standardView
	if kelvin >= 5000 {
		m1, m2, err := spectrum.DaylightFactors(kelvin)
		if err != nil {
			return r, err
		}
		var test [testSamples]XYZ
		var evaluation [evaluationSamples]XYZ
		var two, ten XYZ
		for k, m := range [3]float64{1, m1, m2} {
			d := &f.daylight[k]
			two.add(d.two, m)
			ten.add(d.ten, m)
			for i := range test {
				test[i].add(d.test[i], m)
			}
			for i := range evaluation {
				evaluation[i].add(d.evaluation[i], m)
			}
		}
		r.white, r.test = placeTest(&test, two)
		see(&r.evaluation, &evaluation, ten)
		return r, nil
	}
	s, _, err := RenderingReference(kelvin)
	if err != nil {
		return r, err
	}
	r.white, r.test = f.renderReference(&s)
	if s, _, err = FidelityReference(kelvin); err != nil {
		return r, err
	}
	f.appearances(&r.evaluation, &s)
	return r, nil
}

// renderReference gives a light's u, v and its CIE 13.3 samples, seen under
// itself.
func (f *fold) renderReference(s *spectrum.Spectrum) ([2]float64, [testSamples]uvw) {
	var raw [testSamples]XYZ
	samples(raw[:], s, f.test[:], &f.end2)
	return placeTest(&raw, weigh(s, &f.cmf2))
}

// placeTest gives a white's u, v and the samples beside it in U*V*W*.
func placeTest(raw *[testSamples]XYZ, white XYZ) ([2]float64, [testSamples]uvw) {
	u, v := white.UV()
	at := [2]float64{u, v}
	var r [testSamples]uvw
	for i, c := range raw {
		su, sv := c.UV()
		r[i] = uniform(100*c.Y/white.Y, su, sv, at)
	}
	return at, r
}

// appearances gives the 99 TM-30 samples under a light, in CAM02-UCS.
func (f *fold) appearances(dst *[evaluationSamples]lab, s *spectrum.Spectrum) {
	var raw [evaluationSamples]XYZ
	samples(raw[:], s, f.evaluation[:], &f.end10)
	see(dst, &raw, weigh(s, &f.cmf10))
}

// see turns unscaled tristimulus values under a white into CAM02-UCS.
func see(dst *[evaluationSamples]lab, raw *[evaluationSamples]XYZ, white XYZ) {
	k := 100 / white.Y
	v := newViewer(white.scaled(k))
	for i, c := range raw {
		dst[i] = v.see(c.scaled(k))
	}
}

// The view under a reference light depends on its temperature alone and is
// smooth between the temperatures where the kind of reference changes, so it
// is kept as Chebyshev series in 1/T over five pieces. The interpolation error
// is below 1e-6 in every coordinate (see the test), far below any tolerance.
// Outside the series the view bends too sharply: under 1300 K, where CIECAM02
// sees almost no blue, and above 7000 K, where a sample turns neutral, it is
// computed anew each time.
const (
	pieces       = 5
	order        = 24
	viewNumbers  = 2 + 3*testSamples + 3*evaluationSamples
	megaReciproc = 1e6 // K·(1/MK), reciprocal megakelvin
)

var pieceEdges = [pieces + 1]float64{1300, 1700, 2500, 4000, 5000, 7000} // K

type series [viewNumbers][order]float64

var views = sync.OnceValue(func() *[pieces]series {
	var all [pieces]series
	f := folded()
	for p := range pieces {
		var at [order][viewNumbers]float64
		for n := range order {
			x := math.Cos(math.Pi * (float64(n) + 0.5) / order)
			view, err := f.direct(pieceKelvin(p, x))
			if err != nil {
				panic(err) // the edges above are inside every formula's range
			}
			at[n] = view.flat()
		}
		for q := range viewNumbers {
			for k := range order {
				var sum float64
				for n := range order {
					sum += at[n][q] * math.Cos(math.Pi*float64(k)*(float64(n)+0.5)/order)
				}
				all[p][q][k] = sum * 2 / order
			}
			all[p][q][0] /= 2
		}
	}
	return &all
})

// pieceKelvin maps x in (−1, 1) to a temperature inside piece p.
func pieceKelvin(p int, x float64) float64 {
	lo, hi := megaReciproc/pieceEdges[p], megaReciproc/pieceEdges[p+1]
	return megaReciproc / ((lo+hi)/2 + x*(hi-lo)/2)
}

func (r *standardView) flat() [viewNumbers]float64 {
	var f [viewNumbers]float64
	f[0], f[1] = r.white[0], r.white[1]
	i := 2
	for _, t := range r.test {
		f[i], f[i+1], f[i+2] = t.u, t.v, t.w
		i += 3
	}
	for _, e := range r.evaluation {
		f[i], f[i+1], f[i+2] = e.j, e.a, e.b
		i += 3
	}
	return f
}

// reference fills r for a temperature of 1000–25 000 K.
func reference(r *standardView, kelvin float64) {
	if kelvin < pieceEdges[0] || kelvin > pieceEdges[pieces] {
		var err error
		if *r, err = folded().direct(kelvin); err != nil {
			panic(err) // callers hold the range
		}
		return
	}
	p := 0
	for p < pieces-1 && kelvin >= pieceEdges[p+1] {
		p++
	}
	lo, hi := megaReciproc/pieceEdges[p], megaReciproc/pieceEdges[p+1]
	x := (2*megaReciproc/kelvin - lo - hi) / (hi - lo)
	var t [order]float64
	t[0], t[1] = 1, x
	for k := 2; k < order; k++ {
		t[k] = 2*x*t[k-1] - t[k-2]
	}
	s := &views()[p]
	at := func(q int) float64 {
		row := &s[q]
		var a, b float64
		for k := 0; k < order; k += 2 {
			a += row[k] * t[k]
			b += row[k+1] * t[k+1]
		}
		return a + b
	}
	r.white = [2]float64{at(0), at(1)}
	q := 2
	for i := range r.test {
		r.test[i] = uvw{at(q), at(q + 1), at(q + 2)}
		q += 3
	}
	for i := range r.evaluation {
		r.evaluation[i] = lab{at(q), at(q + 1), at(q + 2)}
		q += 3
	}
}
