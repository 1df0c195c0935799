package flicker

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"

	"dawnsmith/finding"
)

// periodSamples is how finely one period of a made shape is judged: edges to
// 1/8192 of it, and lines to far above what SVM asks for.
const periodSamples = 8192

// Measure works out every measure of the shape from one period, as if it went
// on for ever: no record is made, so that any frequency costs the same. Nothing
// is missing of SVM; PstLM is not computed. The error is that of Validate.
func (s Shape) Measure() (*Result, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	xs := make([]float64, periodSamples)
	r := &Result{HasSVM: true, Periodic: true}
	for k := range xs {
		xs[k] = s.At(float64(k) / periodSamples)
		r.Mean += xs[k] / periodSamples
	}
	lo, hi := slices.Min(xs), slices.Max(xs)
	if hi-lo < 1e-9*hi {
		r.IEEE = IEEE1789(0, 0)
		return r, nil // steady
	}
	r.PercentFlicker = min(100, 100*(hi-lo)/(hi+lo))
	for _, x := range xs {
		r.Index += max(0, x-r.Mean) / r.Mean / periodSamples
	}
	r.Fundamental = 1 / s.Period()
	var all []Line
	for k, c := range fourier.NewFFT(periodSamples).Coefficients(nil, xs) {
		a := 2 * math.Hypot(real(c), imag(c)) / periodSamples / r.Mean
		if k > 0 && a > 1e-5 {
			all = append(all, Line{float64(k) * r.Fundamental, a})
		}
	}
	r.SVM = SVM(all)
	slices.SortFunc(all, func(a, b Line) int {
		if a.Amplitude > b.Amplitude {
			return -1
		}
		return 1
	})
	r.Lines = all[:min(len(all), 40)]
	r.IEEE = IEEE1789(r.PercentFlicker, r.Fundamental)
	r.limitFindings(func(sev finding.Severity, key, what, cause, mend, source string) {
		r.Findings = append(r.Findings, finding.Finding{Severity: sev, Key: key, What: what, Cause: cause, Mend: mend, Source: source})
	})
	return r, nil
}
