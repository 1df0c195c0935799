package meterfile

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"dawnsmith/finding"
	"dawnsmith/light/colour"
	"dawnsmith/light/eye"
	"dawnsmith/light/flicker"
	"dawnsmith/light/spectrum"
)

func readTest(t *testing.T, name string) *File {
	t.Helper()
	r, err := os.Open(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	f, err := Read(r)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return f
}

func has(r Reading, key string) bool {
	for _, f := range r.Findings {
		if f.Key == "meterfile."+key {
			return true
		}
	}
	return false
}

// lightOf joins readings linearly to 1 nm, the way the right answers were made.
func lightOf(t *testing.T, raw spectrum.Raw) spectrum.Spectrum {
	t.Helper()
	r, err := raw.Resample(spectrum.Linear)
	if err != nil {
		t.Fatal(err)
	}
	return r.Spectrum
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s is %.6g, want %.6g ± %g", what, got, want, tol)
	}
}

func colourOf(t *testing.T, what string, s spectrum.Spectrum, cct, duv, der float64) {
	t.Helper()
	c, err := colour.CCT(&s)
	if err != nil {
		t.Fatal(err)
	}
	near(t, what+": colour temperature", c.Kelvin, cct, 60)
	near(t, what+": Duv", c.Duv, duv, 0.003)
	if der > 0 {
		d, err := eye.MelanopicDER(&s)
		if err != nil {
			t.Fatal(err)
		}
		near(t, what+": melanopic ratio", d, der, 0.01)
	}
}

// The six files with their right answers: linear to 1 nm, 2° observer, 683.002
// lm/W, nearest Planckian point in CIE 1960, CIE S 026 weights; invented inputs,
// answers computed apart from this program.
func TestOddFiles(t *testing.T) {
	t.Run("comma and tab", func(t *testing.T) {
		f := readTest(t, "01-comma-tab.txt")
		r := f.Spectra[0]
		if n := len(r.Raw.Values); n != 21 || r.Raw.Wavelengths[0] != 380.25 || r.Raw.Wavelengths[20] != 781.25 {
			t.Fatalf("%d points from %g", n, r.Raw.Wavelengths[0])
		}
		if r.Raw.Quantity != spectrum.Irradiance || r.Unit != "µW/(cm²·nm)" {
			t.Errorf("it is %v in %q", r.Raw.Quantity, r.Unit)
		}
		s := lightOf(t, r.Raw)
		near(t, "lux", s.Luminous(), 3911, 39)
		colourOf(t, "it", s, 5105, -0.004, 0.765)
		if want := time.Date(2026, 1, 12, 7, 14, 5, 0, time.UTC); !r.At.Equal(want) && r.At.Format("2006-01-02 15:04:05") != "2026-01-12 07:14:05" {
			t.Errorf("it was read at %v", r.At)
		}
		// The same with points.
		data, _ := os.ReadFile("testdata/01-comma-tab.txt")
		g, err := Read(strings.NewReader(strings.ReplaceAll(string(data), ",", ".")))
		if err != nil || !slices.Equal(g.Spectra[0].Raw.Values, r.Raw.Values) {
			t.Errorf("with points it reads otherwise: %v", err)
		}
	})
	t.Run("digitised", func(t *testing.T) {
		f := readTest(t, "04-digitised.csv")
		r := f.Spectra[0]
		lo, hi := span(r.Raw.Wavelengths)
		if len(r.Raw.Values) != 20 || lo != 381.7 || hi != 699.5 {
			t.Fatalf("%d points, %g to %g nm", len(r.Raw.Values), lo, hi)
		}
		if r.Raw.Quantity != spectrum.Relative {
			t.Errorf("it is %v", r.Raw.Quantity)
		}
		if !has(r, "negative") || !has(r, "order") {
			t.Errorf("findings are %v", r.Findings)
		}
		colourOf(t, "it", lightOf(t, r.Raw), 5201, -0.005, 0.774)
	})
	t.Run("counts", func(t *testing.T) {
		r := readTest(t, "05-counts-dark.txt").Spectra[0]
		if !r.Counts || r.Raw.Quantity != spectrum.Relative || !has(r, "counts") || !has(r, "dark") {
			t.Errorf("counts %v, %v, %v", r.Counts, r.Raw.Quantity, r.Findings)
		}
		if len(r.Saturated) != 1 || r.Saturated[0] != 456 || !has(r, "saturated") {
			t.Errorf("saturated at %v", r.Saturated)
		}
		if r.Raw.Values[0] != 2743-2193 {
			t.Errorf("the first reading is %g", r.Raw.Values[0])
		}
	})
	t.Run("wide rows", func(t *testing.T) {
		f := readTest(t, "06-wide-rows.csv")
		if len(f.Spectra) != 2 {
			t.Fatalf("%d spectra", len(f.Spectra))
		}
		for i, want := range []struct {
			name, at string
			lux      float64
		}{{"A", "2026-01-12 17:19:21", 390.2}, {"B", "2026-01-12 12:04:09", 195.1}} {
			r := f.Spectra[i]
			if r.Name != want.name || r.At.Format("2006-01-02 15:04:05") != want.at || len(r.Raw.Values) != 13 {
				t.Errorf("spectrum %d is %q at %v with %d points", i, r.Name, r.At, len(r.Raw.Values))
			}
			s := lightOf(t, r.Raw)
			near(t, want.name+": lux", s.Luminous(), want.lux, want.lux/100)
			colourOf(t, want.name, s, 5105, -0.004, 0)
		}
	})
	t.Run("lines", func(t *testing.T) {
		r := readTest(t, "08-lines.spdx").Spectra[0]
		if len(r.Raw.Values) != 16 || r.Raw.Bandwidth != 0 || r.Raw.Quantity != spectrum.Relative || !has(r, "bandwidth") {
			t.Errorf("%d points, bandwidth %g, %v, %v", len(r.Raw.Values), r.Raw.Bandwidth, r.Raw.Quantity, r.Findings)
		}
		res, err := r.Raw.Resample(spectrum.Automatic)
		if err != nil {
			t.Fatal(err)
		}
		if i := slices.IndexFunc(res.Findings, func(f finding.Finding) bool { return f.Key == "spectrum.corners" }); i < 0 || !strings.Contains(res.Findings[i].What, "under-sampled") {
			t.Errorf("findings are %v", res.Findings)
		}
		s := res.Spectrum
		tri, err := colour.Tristimulus2(&s)
		if err != nil {
			t.Fatal(err)
		}
		sum := tri.X + tri.Y + tri.Z
		x, y := tri.X/sum, tri.Y/sum
		near(t, "x", x, 0.457, 0.003)
		near(t, "y", y, 0.418, 0.003)
		colourOf(t, "it", s, 2790, 0.003, 0)
	})
	t.Run("scope", func(t *testing.T) {
		f := readTest(t, "12-scope-side.csv")
		if len(f.Waves) != 1 {
			t.Fatalf("%d waves, %d logs, %d spectra", len(f.Waves), len(f.Logs), len(f.Spectra))
		}
		w := f.Waves[0]
		if len(w.Values) != 20 || w.Unit != "V" || w.Name != "CH1" {
			t.Errorf("%d samples, %q in %q", len(w.Values), w.Name, w.Unit)
		}
		near(t, "step", w.Interval, 100e-6, 1e-9)
		if lo, hi := span(w.Values); lo != 0 || hi != 2 {
			t.Errorf("from %g to %g: the offset was added", lo, hi)
		}
		got, err := flicker.Measure(flicker.Waveform{Dt: w.Interval, Samples: w.Values})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "percent flicker", got.PercentFlicker, 100, 1e-9)
		near(t, "flicker index", got.Index, 0.70, 0.005)
		near(t, "frequency", got.Fundamental, 1000, 500)
		if got.FundamentalSpan < 450 {
			t.Errorf("two periods are said to tell the frequency to %g Hz", got.FundamentalSpan)
		}
	})
}
