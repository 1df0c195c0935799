package colour

import (
	"errors"
	"sync"

	"dawnsmith/light/spectrum"
)

var errInvisible = errors.New("spectrum has no visible light: its colour is undefined; check the wavelength range and the units")

const (
	testSamples       = 15 // CIE 13.3 samples 1–14 and the skin of JIS Z 8726
	evaluationSamples = 99 // TM-30
)

// fold holds the weighting functions and their products with the sample
// reflectances, so that the tristimulus values of a sample under any light
// are three sums.
type fold struct {
	cmf2, cmf10 [3]spectrum.Spectrum
	test        [testSamples][3]spectrum.Spectrum       // reflectance × 2° functions
	evaluation  [evaluationSamples][3]spectrum.Spectrum // reflectance × 10° functions
	// End of the non-zero part of each function, as a sample count: the sums
	// stop there.
	end2, end10 [3]int
	// The samples and the white under each component of daylight; daylight is
	// a sum of them.
	daylight [3]component
}

type component struct {
	two, ten   XYZ
	test       [testSamples]XYZ
	evaluation [evaluationSamples]XYZ
}

var folded = sync.OnceValue(func() *fold {
	f := &fold{cmf2: spectrum.Matching2(), cmf10: spectrum.Matching10()}
	for i, r := range spectrum.TestSamples() {
		for k := range 3 {
			f.test[i][k] = r.Weight(&f.cmf2[k])
		}
	}
	for i, r := range spectrum.EvaluationSamples() {
		for k := range 3 {
			f.evaluation[i][k] = r.Weight(&f.cmf10[k])
		}
	}
	for k := range 3 {
		f.end2[k], f.end10[k] = end(&f.cmf2[k]), end(&f.cmf10[k])
	}
	for k, s := range spectrum.DaylightComponents() {
		c := &f.daylight[k]
		c.two, c.ten = weigh(&s, &f.cmf2), weigh(&s, &f.cmf10)
		samples(c.test[:], &s, f.test[:], &f.end2)
		samples(c.evaluation[:], &s, f.evaluation[:], &f.end10)
	}
	return f
})

func end(s *spectrum.Spectrum) int {
	n := len(s)
	for n > 0 && s[n-1] == 0 {
		n--
	}
	return n
}

// samples gives the unscaled tristimulus values of every sample under s.
// Two rows are summed at a time to read the light once for both.
func samples(dst []XYZ, s *spectrum.Spectrum, rows [][3]spectrum.Spectrum, ends *[3]int) {
	i := 0
	for ; i+1 < len(rows); i += 2 {
		a, b := &rows[i], &rows[i+1]
		dst[i].X, dst[i+1].X = dot2(&a[0], &b[0], s, ends[0])
		dst[i].Y, dst[i+1].Y = dot2(&a[1], &b[1], s, ends[1])
		dst[i].Z, dst[i+1].Z = dot2(&a[2], &b[2], s, ends[2])
	}
	if i < len(rows) {
		a := &rows[i]
		dst[i].X, _ = dot2(&a[0], &a[0], s, ends[0])
		dst[i].Y, _ = dot2(&a[1], &a[1], s, ends[1])
		dst[i].Z, _ = dot2(&a[2], &a[2], s, ends[2])
	}
}

// dot2 sums a·s and b·s over the first n samples.
func dot2(a, b, s *spectrum.Spectrum, n int) (float64, float64) {
	x, y, z := a[:n], b[:n], s[:n]
	var p0, p1, q0, q1 float64
	for len(x) >= 4 && len(y) >= 4 && len(z) >= 4 {
		p0 += x[0]*z[0] + x[2]*z[2]
		q0 += y[0]*z[0] + y[2]*z[2]
		p1 += x[1]*z[1] + x[3]*z[3]
		q1 += y[1]*z[1] + y[3]*z[3]
		x, y, z = x[4:], y[4:], z[4:]
	}
	for i, v := range z {
		p0 += x[i] * v
		q0 += y[i] * v
	}
	return p0 + p1, q0 + q1
}
