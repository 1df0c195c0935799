package flicker

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"dawnsmith/finding"

	"pgregory.net/rapid"
)

func close(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.6g, want %.6g within %.2g", what, got, want, tol)
	}
}

func measured(t *testing.T, s Shape) *Result {
	t.Helper()
	w, err := s.Sampled(0)
	if err != nil {
		t.Fatal(err)
	}
	r, err := Measure(w)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Waveforms with metrics from closed forms and Fourier series
// (testdata/reference.json), through the sampled path.
func TestReferenceCases(t *testing.T) {
	b, err := os.ReadFile("testdata/reference.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Cases []struct {
			ID       string `json:"id"`
			Waveform struct {
				Kind            string
				F, M, Duty, Low float64
			} `json:"waveform"`
			Result struct {
				Percent  float64 `json:"percent_flicker"`
				Index    float64 `json:"flicker_index"`
				SVM      float64 `json:"svm"`
				IEEE1789 struct {
					Low  float64 `json:"low_risk_pct"`
					Noel float64 `json:"noel_pct"`
				} `json:"ieee1789"`
				LowRisk bool `json:"ieee1789_low_risk"`
				Noel    bool `json:"ieee1789_noel"`
			} `json:"result"`
		} `json:"cases"`
	}
	if err := json.Unmarshal(b, &file); err != nil {
		t.Fatal(err)
	}
	forms := map[string]Form{"sine": Sine, "square": Square, "triangle": Triangle, "rectified": Rectified}
	for _, c := range file.Cases {
		t.Run(c.ID, func(t *testing.T) {
			r := measured(t, Shape{Form: forms[c.Waveform.Kind], Frequency: c.Waveform.F, Depth: c.Waveform.M, Duty: c.Waveform.Duty, Low: c.Waveform.Low})
			close(t, "percent flicker", r.PercentFlicker, c.Result.Percent, 0.01)
			close(t, "index", r.Index, c.Result.Index, 1e-4)
			close(t, "SVM", r.SVM, c.Result.SVM, 5e-4*c.Result.SVM)
			close(t, "low risk", r.IEEE.LowRisk, c.Result.IEEE1789.Low, 1e-3)
			close(t, "no effect", r.IEEE.NoEffect, c.Result.IEEE1789.Noel, 1e-3)
			if r.IEEE.WithinLowRisk != c.Result.LowRisk || r.IEEE.WithinNoEffect != c.Result.Noel || !r.HasSVM || !r.Periodic {
				t.Errorf("levels kept: %v %v, want %v %v", r.IEEE.WithinLowRisk, r.IEEE.WithinNoEffect, c.Result.LowRisk, c.Result.Noel)
			}
		})
	}
}

// Closed forms over whole periods: sine of depth m: 100·m and m/π; triangle
// 100·m and m/4; full-depth square of duty D: 100 and 1-D; |sin|: 100 and
// 0.2105.
func TestClosedForms(t *testing.T) {
	for _, c := range []struct {
		s              Shape
		percent, index float64
	}{
		{Shape{Form: Sine, Frequency: 120, Depth: 0.4}, 40, 0.4 / math.Pi},
		{Shape{Form: Triangle, Frequency: 100, Depth: 0.7}, 70, 0.7 / 4},
		{Shape{Form: Square, Frequency: 300, Duty: 0.8}, 100, 0.2},
		{Shape{Form: Square, Frequency: 1000, Duty: 0.1}, 100, 0.9},
		{Shape{Form: Square, Frequency: 250, Duty: 0.5, Low: 0.5}, 100.0 / 3, 1.0 / 6},
		{Shape{Form: Rectified, Frequency: 60, Depth: 1}, 100, 0.2105},
	} {
		r := measured(t, c.s)
		close(t, "percent flicker", r.PercentFlicker, c.percent, 0.1)
		close(t, "index", r.Index, c.index, 1e-3)
		close(t, "fundamental", r.Fundamental, 1/c.s.Period(), 0.02)
	}
}

// SVM from the Fourier series: PWM 300 Hz 80 % 0.9712, 1000 Hz 10 % 2.3521,
// 120 Hz 2 % 7.95, full 100 Hz sine 1/T(100) with T(100) = 0.2563; from 2 kHz
// up nothing.
func TestSVM(t *testing.T) {
	close(t, "T(100 Hz)", Threshold(100), 0.2563, 5e-5)
	for _, c := range []struct {
		s         Shape
		want, tol float64
	}{
		{Shape{Form: Square, Frequency: 300, Duty: 0.8}, 0.9712, 1e-3},
		{Shape{Form: Square, Frequency: 1000, Duty: 0.1}, 2.3521, 2e-3},
		{Shape{Form: Square, Frequency: 120, Duty: 0.02}, 7.95, 6e-3},
		{Shape{Form: Square, Frequency: 2500, Duty: 0.5}, 0, 1e-3},
		{Shape{Form: Sine, Frequency: 2050, Depth: 1}, 0, 1e-3},
	} {
		close(t, "SVM", measured(t, c.s).SVM, c.want, c.tol)
	}
}

// IEEE 1789-2015: 100 Hz 8 % and 3.33 %, 120 Hz 9.6 % and 4.0 %; full depth
// needs 1250 Hz and 3000 Hz.
func TestIEEE1789(t *testing.T) {
	for _, c := range []struct{ f, low, no float64 }{{100, 8, 3.33}, {120, 9.6, 3.996}, {50, 1.25, 0.5}, {1000, 80, 33.3}} {
		l := IEEE1789(5, c.f)
		close(t, "low risk", l.LowRisk, c.low, 1e-9)
		close(t, "no effect", l.NoEffect, c.no, 1e-9)
	}
	if l := IEEE1789(100, 1251); l.LimitedLowRisk || !l.WithinLowRisk || l.WithinNoEffect {
		t.Errorf("full depth at 1251 Hz: %+v", l)
	}
	if l := IEEE1789(100, 3001); l.LimitedEffect || !l.WithinNoEffect {
		t.Errorf("full depth at 3001 Hz: %+v", l)
	}
	close(t, "full depth, low risk", Frequency(100, false), 1250, 0)
	close(t, "full depth, no effect", Frequency(100, true), 3000, 0)
	rapid.Check(t, func(t *rapid.T) {
		depth := rapid.Float64Range(0.1, 100).Draw(t, "depth")
		for _, no := range []bool{false, true} {
			f := Frequency(depth, no)
			kept := func(f float64) bool {
				l := IEEE1789(depth, f)
				if no {
					return l.WithinNoEffect
				}
				return l.WithinLowRisk
			}
			if !kept(f*1.0001+1e-9) || f > 1 && f < 1249 && kept(f*0.99) {
				t.Fatalf("%g %% flicker: %g Hz is not the lowest frequency that keeps the level", depth, f)
			}
		}
	})
}

// A record need be no whole number of periods, and may begin anywhere.
func TestAnyFrequencyAndPhase(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.Float64Range(85, 1900).Draw(t, "f")
		depth := rapid.Float64Range(0.02, 1).Draw(t, "depth")
		phase := rapid.Float64Range(0, 1).Draw(t, "phase")
		w := Waveform{Dt: 1.0 / 25000, Samples: make([]float64, 25000)}
		for k := range w.Samples {
			w.Samples[k] = 7 * (1 + depth*math.Sin(2*math.Pi*(f*float64(k)*w.Dt+phase)))
		}
		r, err := Measure(w)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(r.Fundamental-f) > 0.02 || math.Abs(r.SVM/(depth/Threshold(f))-1) > 1e-3 {
			t.Fatalf("sine of %g Hz: found %g Hz, SVM %g, want %g", f, r.Fundamental, r.SVM, depth/Threshold(f))
		}
		if math.Abs(r.Index-depth/math.Pi) > 2e-3 || math.Abs(r.Mean-7) > 0.03 {
			t.Fatalf("index %g, mean %g", r.Index, r.Mean)
		}
	})
}

// Scale changes nothing but the mean; steady light has no flicker at all.
func TestScaleAndSteady(t *testing.T) {
	w, err := Shape{Form: Square, Frequency: 240, Duty: 0.3, Low: 0.1, Edge: 20e-6}.Sampled(0.5)
	if err != nil {
		t.Fatal(err)
	}
	a, err := Measure(w)
	if err != nil {
		t.Fatal(err)
	}
	for k := range w.Samples {
		w.Samples[k] *= 1234
	}
	b, err := Measure(w)
	if err != nil {
		t.Fatal(err)
	}
	close(t, "percent flicker", a.PercentFlicker, b.PercentFlicker, 1e-9)
	close(t, "SVM", a.SVM, b.SVM, 1e-9)
	close(t, "mean with soft edges", b.Mean, 1234*(0.3+0.7*0.1), 1)
	for k := range w.Samples {
		w.Samples[k] = 5
	}
	c, err := Measure(w)
	if err != nil {
		t.Fatal(err)
	}
	if c.PercentFlicker != 0 || c.Index != 0 || c.SVM != 0 || c.Fundamental != 0 || !c.IEEE.WithinNoEffect {
		t.Errorf("steady light: %+v", c)
	}
}

// Two halves of a lamp switched half a period apart have half the depth and
// twice the frequency at half duty and below.
func TestPhaseShiftedHalves(t *testing.T) {
	one := Shape{Form: Square, Frequency: 500, Duty: 0.25}
	other := one
	other.Shift = 0.5
	a, err := one.Sampled(0)
	if err != nil {
		t.Fatal(err)
	}
	b, err := other.Sampled(0)
	if err != nil {
		t.Fatal(err)
	}
	both, err := Mix([]float64{0.5, 0.5}, a, b)
	if err != nil {
		t.Fatal(err)
	}
	r, err := Measure(both)
	if err != nil {
		t.Fatal(err)
	}
	close(t, "fundamental", r.Fundamental, 1000, 0.05)
	close(t, "mean", r.Mean, 0.25, 1e-6)
	close(t, "index", r.Index, 0.5, 1e-3)
}

// 100 mV peak to peak on 24 V with 7.8 V of headroom: ±0.6 % of light.
func TestRippleDepth(t *testing.T) {
	close(t, "depth", RippleDepth(0.1, 7.8), 0.0061, 1e-4)
}

// Each finding has a record that raises it and one that does not.
func TestFindings(t *testing.T) {
	sine := func(rate float64, n int, f, depth, noise float64) Waveform {
		rng := rand.New(rand.NewPCG(1, 2))
		w := Waveform{Dt: 1 / rate, Samples: make([]float64, n)}
		for k := range w.Samples {
			w.Samples[k] = 1 + depth*math.Sin(2*math.Pi*f*float64(k)*w.Dt) + noise*rng.NormFloat64()
		}
		return w
	}
	quiet, err := Measure(sine(25000, 25000, 100, 0.02, 0))
	if err != nil || len(quiet.Findings) != 0 {
		t.Fatalf("a quiet record has %v %v", quiet.Findings, err)
	}
	for key, w := range map[string]Waveform{
		"flicker.rate":     sine(8000, 8000, 100, 0.02, 0),
		"flicker.record":   sine(25000, 10000, 100, 0.02, 0),
		"flicker.periods":  sine(25000, 25000, 4, 0.02, 0),
		"flicker.alias":    sine(25000, 25000, 7000, 0.5, 0),
		"flicker.noise":    sine(25000, 25000, 100, 0.02, 0.02),
		"flicker.ieee1789": sine(25000, 25000, 100, 0.2, 0),
		"flicker.svm":      sine(25000, 25000, 100, 0.2, 0),
		"flicker.slow":     sine(25000, 25000, 20, 0.02, 0),
	} {
		r, err := Measure(w)
		if err != nil {
			t.Errorf("%s: %v", key, err)
			continue
		}
		if !finding.Has(r.Findings, key) {
			t.Errorf("%s is not raised: %v", key, r.Findings)
		}
		for _, f := range r.Findings {
			if f.What == "" || f.Cause == "" || f.Mend == "" || f.Source == "" {
				t.Errorf("%+v is incomplete", f)
			}
		}
	}
	if r, err := Measure(sine(2000, 2000, 100, 0.1, 0)); err != nil || r.HasSVM {
		t.Errorf("SVM from 2000 samples a second: %v %v", r, err)
	}
}

func TestRefusals(t *testing.T) {
	good := Waveform{Dt: 1e-4, Samples: make([]float64, 1000)}
	for k := range good.Samples {
		good.Samples[k] = 1
	}
	for name, spoil := range map[string]func(*Waveform){
		"interval": func(w *Waveform) { w.Dt = 0 },
		"NaN":      func(w *Waveform) { w.Samples[3] = math.NaN() },
		"infinity": func(w *Waveform) { w.Samples[3] = math.Inf(1) },
		"short":    func(w *Waveform) { w.Samples = w.Samples[:10] },
		"dark":     func(w *Waveform) { clear(w.Samples) },
		"AC coupled": func(w *Waveform) {
			for k := range w.Samples {
				w.Samples[k] = math.Sin(float64(k))
			}
		},
	} {
		w := Waveform{Dt: good.Dt, Samples: append([]float64(nil), good.Samples...)}
		spoil(&w)
		if _, err := Measure(w); err == nil || !strings.Contains(err.Error(), "waveform") {
			t.Errorf("%s: error %v", name, err)
		}
	}
	for _, s := range []Shape{{}, {Frequency: 100, Depth: 2}, {Form: Square, Frequency: 100}, {Form: 9, Frequency: 1}} {
		if _, err := s.Sampled(0); err == nil {
			t.Errorf("%+v was accepted", s)
		}
	}
}

// Odd record lengths are no slower: the transform's length has no large prime.
func TestSmooth(t *testing.T) {
	for n := 64; n < 5000; n++ {
		m := smooth(n)
		rest := m
		for _, p := range []int{2, 3, 5} {
			for rest%p == 0 {
				rest /= p
			}
		}
		if m > n || rest != 1 || float64(m) < 0.9*float64(n) {
			t.Fatalf("smooth(%d) = %d", n, m)
		}
	}
}

func ExampleMeasure() {
	// A dimmer at 200 Hz, half on.
	w, err := Shape{Form: Square, Frequency: 200, Duty: 0.5}.Sampled(1)
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := Measure(w)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f Hz, %.0f %%, index %.2f, SVM %.2f; low risk to %.0f %%\n", r.Fundamental, r.PercentFlicker, r.Index, r.SVM, r.IEEE.LowRisk)
	// Output: 200 Hz, 100 %, index 0.50, SVM 3.49; low risk to 16 %
}

func BenchmarkMeasure(b *testing.B) {
	w, err := Shape{Form: Square, Frequency: 300, Duty: 0.8}.Sampled(1)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := Measure(w); err != nil {
			b.Fatal(err)
		}
	}
}

// The curve of a level is the level: at its corners it is what IEEE1789 gives
// just beside them.
func TestLimitCurve(t *testing.T) {
	for _, noEffect := range []bool{false, true} {
		hz, depth := LimitCurve(noEffect, 10)
		if len(hz) != 4 {
			t.Fatalf("%d corners, want 4", len(hz))
		}
		for i, f := range hz {
			beside := f * (1 - 1e-9)
			if i == 2 {
				beside = f * (1 + 1e-9) // the step goes up at 90 Hz
			}
			l := IEEE1789(0, beside)
			want := l.LowRisk
			if noEffect {
				want = l.NoEffect
			}
			close(t, "limit", depth[i], want, 1e-6)
		}
	}
	if hz, _ := LimitCurve(false, 2000); len(hz) != 0 {
		t.Errorf("a limit above 1250 Hz: %v", hz)
	}
}
