package flicker

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// One period tells what a record of a second of the same light tells; closed
// forms: a sine of depth m has 100·m percent flicker and index m/π, a square of
// duty D has 100 and 1 − D.
func TestShapeMeasure(t *testing.T) {
	for _, s := range []Shape{
		{Form: Sine, Frequency: 100, Depth: 0.06}, {Form: Square, Frequency: 500, Duty: 0.5, Edge: 5e-6}, {Form: Square, Frequency: 250, Duty: 0.1},
		{Form: Triangle, Frequency: 120, Depth: 0.3}, {Form: Rectified, Frequency: 50, Depth: 0.2}, {Form: Square, Frequency: 1500, Duty: 0.3},
	} {
		w, err := s.Sampled(1)
		if err != nil {
			t.Fatal(err)
		}
		want, err := Measure(w)
		if err != nil {
			t.Fatal(err)
		}
		got, err := s.Measure()
		if err != nil {
			t.Fatal(err)
		}
		near := func(what string, a, b, by float64) {
			t.Helper()
			if math.Abs(a-b) > by {
				t.Errorf("%+v: %s %v of a period, %v of a record", s, what, a, b)
			}
		}
		near("percent", got.PercentFlicker, want.PercentFlicker, 1e-3)
		near("index", got.Index, want.Index, 2e-4)
		near("frequency", got.Fundamental, want.Fundamental, 1e-3)
		near("SVM", got.SVM, want.SVM, 2e-3)
		near("strongest line", got.Lines[0].Amplitude, want.Lines[0].Amplitude, 1e-3)
		if got.IEEE.WithinLowRisk != want.IEEE.WithinLowRisk || got.IEEE.WithinNoEffect != want.IEEE.WithinNoEffect {
			t.Errorf("%+v: levels %+v of a period, %+v of a record", s, got.IEEE, want.IEEE)
		}
		switch s.Form {
		case Sine:
			near("percent, closed form", got.PercentFlicker, 100*s.Depth, 1e-9)
			near("index, closed form", got.Index, s.Depth/math.Pi, 1e-6)
		case Square:
			near("percent, closed form", got.PercentFlicker, 100, 1e-9)
			near("index, closed form", got.Index, 1-s.Duty, 2.0/periodSamples+s.Edge*s.Frequency)
		}
	}
	if r, err := (Shape{Form: Square, Frequency: 4000, Duty: 1}).Measure(); err != nil || r.PercentFlicker != 0 || len(r.Findings) > 0 {
		t.Errorf("fully on: %+v, %v", r, err)
	}
	if _, err := (Shape{Form: Sine, Frequency: 100, Depth: 2}).Measure(); err == nil {
		t.Error("depth 2 taken")
	}
}

// Whatever the shape, no figure leaves its range.
func TestShapeMeasureInRange(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.Float64Range(1, 1e5).Draw(t, "frequency")
		s := Shape{Form: Form(rapid.IntRange(0, 3).Draw(t, "form")), Frequency: f, Depth: rapid.Float64Range(0, 1).Draw(t, "depth"),
			Duty: rapid.Float64Range(0.001, 1).Draw(t, "duty"), Low: rapid.Float64Range(0, 1).Draw(t, "low"), Edge: rapid.Float64Range(0, 0.4/f/2).Draw(t, "edge")}
		r, err := s.Measure()
		if err != nil {
			t.Fatal(err)
		}
		if !(r.PercentFlicker >= 0 && r.PercentFlicker <= 100 && r.Index >= 0 && r.Index <= 1 && r.SVM >= 0 && !math.IsInf(r.SVM, 1)) {
			t.Fatalf("%+v: %+v", s, r)
		}
	})
}
