package spectrum

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"dawnsmith/finding"
	"pgregory.net/rapid"
)

// sampled reads a curve at equal steps.
func sampled(first, last, step float64, f func(float64) float64) Raw {
	var r Raw
	for i := 0; ; i++ {
		nm := first + float64(i)*step
		if nm > last+1e-9 {
			return r
		}
		r.Wavelengths = append(r.Wavelengths, nm)
		r.Values = append(r.Values, f(nm))
	}
}

func gauss(mid, fwhm float64) func(float64) float64 {
	return func(nm float64) float64 {
		d := (nm - mid) * 2.3548200450309493 / fwhm
		return math.Exp(-d * d / 2)
	}
}

// white is a curve like that of a white LED: pump, dip, phosphor.
func white(nm float64) float64 {
	return gauss(450, 22)(nm) + 0.8*gauss(560, 110)(nm) + 0.6*gauss(630, 90)(nm)
}

func ExampleRaw_Resample() {
	r := Raw{Wavelengths: []float64{380, 480, 580, 680, 780}, Values: []float64{1, 1, 1, 1, 1}}
	_, err := r.Resample(Automatic)
	fmt.Println(err)
	// Output: neighbouring readings are up to 100 nm apart: 30 nm is the most that can be used; measure at 5 nm or finer
}

func TestResampleKeepsTheGrid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := light().Draw(t, "light")
		r := sampled(First, Last, 1, want.At)
		if rapid.Bool().Draw(t, "falling") {
			slices.Reverse(r.Wavelengths)
			slices.Reverse(r.Values)
		}
		got, err := r.Resample(Automatic)
		if err != nil {
			t.Fatal(err)
		}
		if got.Spectrum != want || got.Method != Exact || len(got.Findings) != 0 {
			t.Fatalf("method %v, findings %v", got.Method, got.Findings)
		}
	})
}

func TestResampleChoosesMethod(t *testing.T) {
	lamp, err := Illuminant("FL11")
	if err != nil {
		t.Fatal(err)
	}
	irregular := sampled(380, 780, 2, white)
	irregular.Wavelengths[5] += 0.7
	for _, c := range []struct {
		name string
		raw  Raw
		want Method
	}{
		{"5 nm LED", sampled(380, 780, 5, white), Sprague},
		{"10 nm LED", sampled(380, 780, 10, white), Sprague},
		{"5 nm tube", sampled(380, 780, 5, lamp.At), Linear},
		{"irregular", irregular, Linear},
		{"0.25 nm", sampled(380, 780, 0.25, white), Average},
		{"0.4 nm off the grid", sampled(339.9, 800, 0.4, white), Average},
		{"1 nm beyond the grid", sampled(300, 830, 1, white), Exact},
		{"1 nm off the grid", sampled(379.5, 781, 1, white), Sprague},
	} {
		got, err := c.raw.Resample(Automatic)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if got.Method != c.want {
			t.Errorf("%s: %v, want %v", c.name, got.Method, c.want)
		}
	}
}

// TestSpragueBeatsLines: with a pump band 22 nm wide the formula comes ten
// times closer than straight lines at 5 nm, and three times at 10 nm.
func TestSpragueBeatsLines(t *testing.T) {
	truth := Func(white)
	worst := func(m Method, step float64) float64 {
		r := sampled(380, 780, step, white)
		got, err := r.Resample(m)
		if err != nil {
			t.Fatal(err)
		}
		var w float64
		for i := range truth {
			w = max(w, math.Abs(got.Spectrum[i]-truth[i]))
		}
		return w
	}
	if l, s := worst(Linear, 5), worst(Sprague, 5); s*10 > l {
		t.Errorf("5 nm: lines off by %.5f, Sprague by %.5f", l, s)
	}
	if l, s := worst(Linear, 10), worst(Sprague, 10); s*3 > l {
		t.Errorf("10 nm: lines off by %.5f, Sprague by %.5f", l, s)
	}
}

// TestSpragueKeepsPolynomials: inside, the formula reproduces polynomials up
// to the fourth degree.
func TestSpragueKeepsPolynomials(t *testing.T) {
	poly := func(nm float64) float64 {
		x := (nm - 580) / 100
		return 30 + x*(3+x*(2+x*(-1+x*0.7)))
	}
	r := sampled(380, 780, 5, poly)
	got, err := r.Resample(Sprague)
	if err != nil {
		t.Fatal(err)
	}
	for nm := 390.0; nm <= 770; nm++ {
		if v := got.Spectrum.At(nm); math.Abs(v-poly(nm)) > 1e-10 {
			t.Fatalf("at %g nm: %g, want %g", nm, v, poly(nm))
		}
	}
}

// TestAverageKeepsPower: the mean over each nanometre keeps the integral.
func TestAverageKeepsPower(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		step := rapid.Float64Range(0.1, 0.9).Draw(t, "step")
		r := sampled(370, 790, step, white)
		got, err := r.Resample(Automatic)
		if err != nil {
			t.Fatal(err)
		}
		if got.Method != Average {
			t.Fatalf("method %v", got.Method)
		}
		// Bins reach from 379.5 to 780.5 nm; Simpson's rule for the truth.
		var want float64
		for x := 379.5; x < 780.49; x += 0.5 {
			want += (white(x) + 4*white(x+0.25) + white(x+0.5)) * 0.5 / 6
		}
		if math.Abs(got.Spectrum.Power()-want) > 2e-4*want {
			t.Fatalf("power %g, want %g", got.Spectrum.Power(), want)
		}
	})
}

func TestResampleEnds(t *testing.T) {
	short := sampled(395, 720, 1, white)
	got, err := short.Resample(Automatic)
	if err != nil {
		t.Fatal(err)
	}
	if got.Spectrum.At(390) != 0 || got.Spectrum.At(730) != 0 || got.Spectrum.At(500) == 0 {
		t.Error("a light must be 0 beyond its readings")
	}
	if !finding.Has(got.Findings, "spectrum.range") {
		t.Errorf("no word about the range in %v", got.Findings)
	}
	short.Quantity = Reflectance
	for i := range short.Values {
		short.Values[i] = 0.9
	}
	if got, err = short.Resample(Automatic); err != nil {
		t.Fatal(err)
	}
	if got.Spectrum.At(380) != 0.9 || got.Spectrum.At(780) != 0.9 {
		t.Error("a material must keep its last value")
	}
	full := sampled(380, 780, 1, white)
	if got, err = full.Resample(Automatic); err != nil || len(got.Findings) != 0 {
		t.Errorf("full range: %v %v", got.Findings, err)
	}
}

func TestResampleFindings(t *testing.T) {
	r := sampled(380, 780, 1, white)
	r.Gaps = make([]bool, len(r.Values))
	r.Gaps[100], r.Values[100] = true, math.NaN()
	r.Wavelengths = append(r.Wavelengths, 500)
	r.Values = append(r.Values, white(500)+0.02)
	r.Gaps = append(r.Gaps, false)
	for i := range 20 {
		r.Values[380+i] = -0.1
	}
	got, err := r.Resample(Automatic)
	if err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"spectrum.gaps", "spectrum.doubles", "spectrum.negative"} {
		if !finding.Has(got.Findings, key) {
			t.Errorf("no %s in %v", key, got.Findings)
		}
	}
	if v := got.Spectrum.At(480); math.Abs(v-white(480)) > 1e-3 {
		t.Errorf("bridged gap holds %g, want near %g", v, white(480))
	}
	if v := got.Spectrum.At(500); math.Abs(v-white(500)-0.01) > 1e-12 {
		t.Errorf("doubled reading %g, want the mean", v)
	}
	if v := got.Spectrum.At(770); v != 0 {
		t.Errorf("reading below 0 became %g", v)
	}
	coarse := sampled(380, 780, 10, white)
	if got, err = coarse.Resample(Automatic); err != nil || !finding.Has(got.Findings, "spectrum.coarse") {
		t.Errorf("10 nm: %v %v", got.Findings, err)
	}
	fine := sampled(380, 780, 5, white)
	if got, err = fine.Resample(Automatic); err != nil || finding.Has(got.Findings, "spectrum.coarse") {
		t.Errorf("5 nm: %v %v", got.Findings, err)
	}
}

func TestResampleRefuses(t *testing.T) {
	tube, err := Illuminant("FL11")
	if err != nil {
		t.Fatal(err)
	}
	good := sampled(380, 780, 5, white)
	with := func(change func(*Raw)) Raw {
		r := Raw{Wavelengths: slices.Clone(good.Wavelengths), Values: slices.Clone(good.Values)}
		change(&r)
		return r
	}
	for name, r := range map[string]Raw{
		"lines at 10 nm":   sampled(380, 780, 10, tube.At),
		"steps of 25 nm":   sampled(380, 780, 25, white),
		"short range":      sampled(420, 780, 5, white),
		"short in the red": sampled(380, 690, 5, white),
		"one reading":      {Wavelengths: []float64{500}, Values: []float64{1}},
		"unequal lengths":  with(func(r *Raw) { r.Values = r.Values[1:] }),
		"not a number":     with(func(r *Raw) { r.Values[3] = math.NaN() }),
		"infinite":         with(func(r *Raw) { r.Values[3] = math.Inf(1) }),
		"micrometres":      with(func(r *Raw) { r.Wavelengths[0] = -0.38 }),
		"percent": with(func(r *Raw) {
			r.Quantity = Transmittance
			for i := range r.Values {
				r.Values[i] = 85
			}
		}),
		"all below zero": with(func(r *Raw) {
			for i := range r.Values {
				r.Values[i] = -1
			}
		}),
		"one wavelength": {Wavelengths: []float64{500, 500}, Values: []float64{1, 2}},
	} {
		if got, err := r.Resample(Automatic); err == nil {
			t.Errorf("%s was accepted by %v", name, got.Method)
		}
	}
	uneven := with(func(r *Raw) { r.Wavelengths[4]++ })
	if _, err := uneven.Resample(Sprague); err == nil {
		t.Error("the Sprague formula was used on unequal steps")
	}
}

// TestResampleNeverBreaks: whatever the readings, the result is a spectrum or
// an error.
func TestResampleNeverBreaks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 60).Draw(t, "n")
		r := Raw{Quantity: Quantity(rapid.IntRange(0, 8).Draw(t, "quantity"))}
		for range n {
			r.Wavelengths = append(r.Wavelengths, rapid.Float64Range(300, 900).Draw(t, "nm"))
			r.Values = append(r.Values, rapid.Float64Range(-1, 10).Draw(t, "v"))
		}
		r.Wavelengths = append(r.Wavelengths, 380, 400, 420, 440, 460, 480, 500, 520, 540, 560, 580, 600, 620, 640, 660, 680, 700, 720, 740, 760, 780)
		for len(r.Values) < len(r.Wavelengths) {
			r.Values = append(r.Values, 1)
		}
		got, err := r.Resample(Method(rapid.IntRange(0, 4).Draw(t, "method")))
		if err == nil && got.Spectrum.Check() != nil {
			t.Fatal(got.Spectrum.Check())
		}
	})
}

func TestQuantityText(t *testing.T) {
	for q := Relative; q <= Absorptance; q++ {
		b, err := q.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		var back Quantity
		if err := back.UnmarshalText(b); err != nil || back != q {
			t.Errorf("%v came back as %v, %v", q, back, err)
		}
		if q.IsAbsolute() != (q.Unit() != "") {
			t.Errorf("%v: unit %q", q, q.Unit())
		}
	}
	var q Quantity
	if err := q.UnmarshalText([]byte("lux")); err == nil {
		t.Error("lux was read as a quantity")
	}
}

// TestPhotonEnergy: 119.627/λ J per µmol and nm is the factor in the
// literature on plant light (McCree 1972 and handbooks).
func TestPhotonEnergy(t *testing.T) {
	if got := PhotonEnergy(1) * 1e-6; math.Abs(got-119.627) > 0.001 {
		t.Errorf("factor %g", got)
	}
}
