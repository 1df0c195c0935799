package colour

import (
	"math"

	"dawnsmith/light/spectrum"
)

// Bins is the number of hue-angle bins of TM-30, each 22.5° wide, the first
// from 0° (red).
const Bins = 16

// Fidelity is the result of ANSI/IES TM-30-20; Rf and its parts are those of
// CIE 224:2017 too.
type Fidelity struct {
	Rf, Rg float64
	// RfSample is the fidelity of each of the 99 samples.
	RfSample [evaluationSamples]float64
	// Count is the number of samples in each hue bin. A bin without samples
	// has zeros below and no corner in the gamut polygon.
	Count [Bins]int
	// RfBin is the fidelity of each hue bin.
	RfBin [Bins]float64
	// RcsBin is the chroma shift of each bin as a fraction (0.1 is 10 % more
	// chroma than under the reference), RhsBin the hue shift in radians on the
	// same scale, positive counter-clockwise.
	RcsBin, RhsBin [Bins]float64
	// TestMean and ReferenceMean are the mean a', b' of each bin in CAM02-UCS.
	TestMean, ReferenceMean [Bins][2]float64
	// Reference is the kind of light compared with.
	Reference Reference
	// Valid is false when the source has no correlated colour temperature;
	// then all other fields are zero.
	Valid bool
}

// fidelityScale is the factor between mean colour difference and lost points
// in CIE 224:2017 and TM-30-18/-20 (TM-30-15 had 7.54).
const fidelityScale = 6.73

// points turns a colour difference into a fidelity from 0 to 100.
func points(difference float64) float64 {
	return 10 * math.Log(1+math.Exp((100-fidelityScale*difference)/10))
}

// compare makes the TM-30 result from the samples under test and reference
// light.
//
// Formula: ΔE' of each sample in CAM02-UCS; Rf = 10 ln(1 + exp((100 −
// 6.73·mean ΔE')/10)); bins by the reference hue; Rg = 100 · area of the
// polygon of test means over that of the reference means; with Δa', Δb' the
// shift of a bin mean, θ the bin's middle angle and C the length of the
// reference mean, Rcs = (Δa' cos θ + Δb' sin θ)/C, Rhs = (−Δa' sin θ + Δb'
// cos θ)/C. Source: ANSI/IES TM-30-20 clauses 4 and 5; CIE 224:2017.
func compare(r *Fidelity, test, ref *[evaluationSamples]lab) {
	*r = Fidelity{Valid: true}
	var total float64
	var bin [Bins]float64
	for i := range test {
		t, f := &test[i], &ref[i]
		dj, da, db := t.j-f.j, t.a-f.a, t.b-f.b
		difference := math.Sqrt(dj*dj + da*da + db*db)
		r.RfSample[i] = points(difference)
		total += difference
		h := math.Atan2(f.b, f.a)
		if h < 0 {
			h += 2 * math.Pi
		}
		b := int(h*Bins/(2*math.Pi)) % Bins
		r.Count[b]++
		bin[b] += difference
		r.TestMean[b][0] += t.a
		r.TestMean[b][1] += t.b
		r.ReferenceMean[b][0] += f.a
		r.ReferenceMean[b][1] += f.b
	}
	r.Rf = points(total / evaluationSamples)
	for b := range Bins {
		if r.Count[b] == 0 {
			continue
		}
		n := float64(r.Count[b])
		t, f := &r.TestMean[b], &r.ReferenceMean[b]
		t[0], t[1], f[0], f[1] = t[0]/n, t[1]/n, f[0]/n, f[1]/n
		r.RfBin[b] = points(bin[b] / n)
		c := math.Hypot(f[0], f[1])
		da, db := (t[0]-f[0])/c, (t[1]-f[1])/c
		r.RcsBin[b] = da*binCos[b] + db*binSin[b]
		r.RhsBin[b] = -da*binSin[b] + db*binCos[b]
	}
	r.Rg = 100 * area(&r.TestMean, &r.Count) / area(&r.ReferenceMean, &r.Count)
}

var binCos, binSin = func() (c, s [Bins]float64) {
	for b := range Bins {
		s[b], c[b] = math.Sincos((float64(b) + 0.5) * 2 * math.Pi / Bins)
	}
	return c, s
}()

// area of the polygon through the means of the bins that have samples.
func area(corner *[Bins][2]float64, count *[Bins]int) float64 {
	last := -1
	for b := range Bins {
		if count[b] > 0 {
			last = b
		}
	}
	var twice float64
	for b := range Bins {
		if count[b] == 0 {
			continue
		}
		p, q := &corner[last], &corner[b]
		twice += p[0]*q[1] - q[0]*p[1]
		last = b
	}
	return twice / 2
}

// TM30 gives colour fidelity, gamut and hue-bin shifts after ANSI/IES
// TM-30-20, with the 10° observer and the reference at the source's own
// correlated colour temperature (2° observer). The standard wants readings at
// 5 nm or finer.
func TM30(s *spectrum.Spectrum) (Fidelity, error) {
	_, t, err := whiteAndTemperature(s)
	if err != nil || !t.Valid {
		return Fidelity{}, err
	}
	var ref standardView
	reference(&ref, t.Kelvin)
	var test [evaluationSamples]lab
	folded().appearances(&test, s)
	var r Fidelity
	compare(&r, &test, &ref.evaluation)
	r.Reference = fidelityKind(t.Kelvin)
	return r, nil
}

func fidelityKind(kelvin float64) Reference {
	switch {
	case kelvin <= 4000:
		return BlackBody
	case kelvin < 5000:
		return Blended
	}
	return DaylightPhase
}
