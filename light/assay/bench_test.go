package assay

import (
	"testing"

	"dawnsmith/light/eye"
	"dawnsmith/light/spectrum"
)

// varied gives n spectra that differ from each other: standard illuminants
// mixed two by two.
func varied(tb testing.TB, n int) []spectrum.Spectrum {
	tb.Helper()
	names := spectrum.Illuminants()
	base := make([]spectrum.Spectrum, len(names))
	for i, name := range names {
		s, err := spectrum.Illuminant(name)
		if err != nil {
			tb.Fatal(err)
		}
		if base[i], err = s.ScaleTo(1); err != nil {
			tb.Fatal(err)
		}
	}
	r := make([]spectrum.Spectrum, n)
	for i := range r {
		a, b := &base[i%len(base)], &base[(i/len(base)+1+i)%len(base)]
		r[i] = spectrum.Blend(a, b, float64(i%7)/7)
	}
	return r
}

// BenchmarkAll takes every measure of spectra of 401 samples; spectra/s is
// per core.
func BenchmarkAll(b *testing.B) {
	src := varied(b, 500)
	dst := make([]Assay, len(src))
	if err := All(dst, src, 500, eye.DeskLamp); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		if err := All(dst, src, 500, eye.DeskLamp); err != nil {
			b.Fatal(err)
		}
		n += len(src)
	}
	b.ReportMetric(float64(n)/b.Elapsed().Seconds(), "spectra/s")
}
