package dose

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"dawnsmith/finding"
	"dawnsmith/light/eye"
	"dawnsmith/light/spectrum"

	"pgregory.net/rapid"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.8g, want %.8g ± %g", what, got, want, tol)
	}
}

// The two tested protocols and the span between: Terman et al. 1989 and 1990;
// 5 000 lx for 60 min is the linear rule's middle.
func TestPhotopicMinutes(t *testing.T) {
	for _, c := range []struct {
		lux, minutes float64
		rule         Rule
	}{
		{10000, 30, Linear}, {2500, 120, Linear}, {5000, 60, Linear}, {7000, 42.857, Linear},
		{10001, 30, Held}, {40000, 30, Held}, {2499, 0, None}, {0, 0, None},
	} {
		m, err := Photopic(c.lux)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "minutes", m.Minutes, c.minutes, 5e-4)
		if m.Rule != c.rule || m.Why == "" {
			t.Errorf("%g lx: rule %v (%q), want %v", c.lux, m.Rule, m.Why, c.rule)
		}
	}
}

// Melanopic minutes at 10 000 lx for published CIE illuminants: DER after
// CIE S 026 of LED-B1 0.4064, FL11 0.5636, LED-B3 0.632, LED-B5 0.8549.
func TestMelanopicMinutes(t *testing.T) {
	for _, c := range []struct{ der, scaled, minutes float64 }{
		{0.40641, 41.6, 41.6}, {0.5636, 30, 30}, {0.632, 26.75, 30}, {0.85487, 19.8, 30}, {1, 16.9, 30},
	} {
		m, err := Melanopic(10000 * c.der)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "scaled", m.Scaled, c.scaled, 0.05)
		near(t, "minutes", m.Minutes, c.minutes, 0.05)
	}
	if m, _ := Melanopic(1400); m.Rule != None || m.Minutes != 0 {
		t.Errorf("1400 lx melanopic gives %+v, want no rule", m)
	}
}

// The reference ratio is that of the published illuminant FL11 (CIE 15),
// weighted after CIE S 026.
func TestReferenceDER(t *testing.T) {
	s, err := spectrum.Illuminant("FL11")
	if err != nil {
		t.Fatal(err)
	}
	der, err := eye.MelanopicDER(&s)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "DER of FL11", ReferenceDER, der, 0.001)
}

func TestBadLightIsRefused(t *testing.T) {
	for _, v := range []float64{-1, math.NaN(), math.Inf(1), 2e6} {
		if _, err := Photopic(v); err == nil {
			t.Errorf("Photopic(%g) accepted", v)
		}
		if _, err := Melanopic(v); err == nil {
			t.Errorf("Melanopic(%g) accepted", v)
		}
		if _, err := Plan(5000, v); err == nil && !(v > 0 && v <= 3) {
			t.Errorf("Plan(5000, %g) accepted", v)
		}
	}
	if _, err := Plan(math.NaN(), 1); err == nil {
		t.Error("Plan(NaN, 1) accepted")
	}
}

func TestPlanFindings(t *testing.T) {
	for _, c := range []struct {
		lux, der float64
		key      string
		want     bool
	}{
		{2000, 0.6, "dose.below_protocol", true}, {2500, 0.6, "dose.below_protocol", false},
		{2000, 0.6, "dose.day_target", true}, {5000, 0.6, "dose.day_target", false},
		{12000, 0.6, "dose.above_protocol", true}, {10000, 0.6, "dose.above_protocol", false},
		{8000, 0.4, "dose.melanopic", true}, {8000, 0.6, "dose.melanopic", false},
	} {
		s, err := Plan(c.lux, c.der)
		if err != nil {
			t.Fatal(err)
		}
		if finding.Has(s.Findings, c.key) != c.want {
			t.Errorf("%g lx DER %g: %s is %v, want %v", c.lux, c.der, c.key, !c.want, c.want)
		}
	}
	s, _ := Plan(2000, 1)
	if s.Melanopic.Rule != None || s.LuxHours != 0 || len(s.Values()) != 0 {
		t.Errorf("without a protocol the session still claims %+v", s)
	}
	s, _ = Plan(5000, 0.5636)
	near(t, "lx·h", s.LuxHours, 5000, 1e-9)
	near(t, "melanopic lx·h", s.MelanopicLuxHours, 2818, 1e-9)
	near(t, "minutes_melanopic", s.Values()["minutes_melanopic"], 60, 1e-9)
	for _, m := range Metrics() {
		if _, ok := s.Values()[m.Key]; !ok {
			t.Errorf("metric %s has no value", m.Key)
		}
	}
}

// Within the tested span every session carries 5 000 lx·h, the "dose" that
// practice names (Levitan 2005).
func TestSessionDoseIsConstant(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		s, err := Plan(rapid.Float64Range(LowestLux, HighestLux).Draw(r, "lux"), rapid.Float64Range(0.3, 1.2).Draw(r, "der"))
		if err != nil {
			r.Fatal(err)
		}
		if math.Abs(s.LuxHours-5000) > 1e-6 {
			r.Errorf("%g lx·h", s.LuxHours)
		}
	})
}

// Luminance and flux for given faces, from the configuration-factor formulas
// (three digits): 0.6 x 0.3 m at 0.50 m for 10 000 lx 17 900 cd/m² and
// 10 100 lm; 0.6 x 0.6 at 0.60: 13 300, 15 000; 1.2 x 0.3 at 0.60: 16 100,
// 18 200; 0.15 x 0.10 at 0.30: 63 600, 3 000.
func TestFaceFigures(t *testing.T) {
	for _, c := range []struct{ w, h, d, l, flux float64 }{
		{0.6, 0.3, 0.5, 17900, 10100}, {0.6, 0.6, 0.6, 13300, 15000}, {1.2, 0.3, 0.6, 16100, 18200}, {0.15, 0.1, 0.3, 63600, 3000},
	} {
		f := Face{Width: c.w, Height: c.h}
		l, err := f.LuminanceFor(10000, c.d)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "L", l, c.l, 0.005*c.l)
		f.Luminance = l
		near(t, "flux", f.Flux(), c.flux, 0.006*c.flux)
	}
}

// I/d² over the truth for a disc of diameter D: 1 D 1.250, 1.5 D 1.111, 2 D
// 1.0625, 3 D 1.0278, 5 D 1.0100 (the five-times rule, IES), 10 D 1.0025.
func TestInverseSquareRatio(t *testing.T) {
	for _, c := range []struct{ d, want float64 }{{1, 1.25}, {1.5, 1.1111}, {2, 1.0625}, {3, 1.0278}, {5, 1.01}, {10, 1.0025}} {
		got, err := Face{Shape: Disc, Width: 1, Luminance: 1}.InverseSquareRatio(c.d)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "ratio", got, c.want, 5e-5)
	}
}

func TestFaceDistance(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		f := Face{Shape: Shape(rapid.IntRange(0, 1).Draw(r, "shape")), Width: rapid.Float64Range(0.05, 1.5).Draw(r, "w"),
			Height: rapid.Float64Range(0.05, 1.5).Draw(r, "h"), Luminance: rapid.Float64Range(1000, 50000).Draw(r, "L")}
		d := rapid.Float64Range(0.02, 5).Draw(r, "d")
		e, err := f.Illuminance(d)
		if err != nil {
			r.Fatal(err)
		}
		back, err := f.Distance(e)
		if err != nil {
			r.Fatal(err)
		}
		if math.Abs(back-d) > 1e-9*d+1e-12 && math.Abs(back-d) > 1e-7 {
			r.Errorf("distance %g came back as %g", d, back)
		}
		far, _ := f.Illuminance(d * 1.01)
		if !(far < e && e < math.Pi*f.Luminance) {
			r.Errorf("illuminance does not fall with distance: %g then %g", e, far)
		}
		n, _ := f.Exponent(d)
		if !(n > 0 && n < 2) {
			r.Errorf("exponent %g", n)
		}
		// A square and its inscribed and circumscribed discs bracket it.
		sq := Face{Width: f.Width, Height: f.Width, Luminance: f.Luminance}
		in := Face{Shape: Disc, Width: f.Width, Luminance: f.Luminance}
		out := Face{Shape: Disc, Width: f.Width * math.Sqrt2, Luminance: f.Luminance}
		a, _ := in.Illuminance(d)
		b, _ := sq.Illuminance(d)
		c, _ := out.Illuminance(d)
		if !(a < b && b < c) {
			r.Errorf("disc %g, square %g, disc %g", a, b, c)
		}
	})
	_, err := Face{Width: 0.6, Height: 0.4, Luminance: 3000}.Distance(10000)
	if !errors.Is(err, ErrTooDim) || !strings.Contains(err.Error(), "3 180 cd/m²") {
		t.Errorf("too dim a face gives %v", err)
	}
	for _, f := range []Face{{}, {Width: 1}, {Width: math.NaN(), Height: 1}, {Width: 1, Height: 1, Luminance: -1}, {Shape: 7, Width: 1, Height: 1}} {
		if f.Validate() == nil {
			t.Errorf("%+v accepted", f)
		}
	}
}

func TestLogSum(t *testing.T) {
	l := Log{Melanopic: true, Readings: []Reading{{0, 1000, 600}, {60, 2000, 1200}, {120, 2000, 1200}, {600, 4000, 2400}, {660, 4000, 2400}}}
	d, err := l.Sum()
	if err != nil {
		t.Fatal(err)
	}
	// 60 s at a mean of 1500, 60 s at 2000, gap, 60 s at 4000 lx.
	near(t, "lx·h", d.LuxHours, (1500.0+2000+4000)/60, 1e-9)
	near(t, "mel", d.MelanopicLuxHours, 0.6*d.LuxHours, 1e-9)
	near(t, "logged", d.Logged, 180, 0)
	near(t, "missing", d.Missing, 480, 0)
	near(t, "mean", d.MeanLux, 2500, 1e-9)
	near(t, "peak", d.PeakLux, 4000, 0)
	if len(d.Gaps) != 1 || d.Gaps[0] != (Gap{120, 600}) {
		t.Errorf("gaps %v", d.Gaps)
	}
	// Exactly twice the interval is no gap yet.
	d, err = Log{Interval: 60, Readings: []Reading{{Time: 0, Lux: 60}, {Time: 120, Lux: 60}}}.Sum()
	if err != nil || len(d.Gaps) != 0 {
		t.Errorf("step of twice the interval: %+v, %v", d, err)
	}
	for name, bad := range map[string]Log{
		"empty": {}, "one": {Readings: []Reading{{}}}, "backwards": {Readings: []Reading{{Time: 1}, {Time: 0}}},
		"same": {Readings: []Reading{{Time: 1}, {Time: 1}}}, "negative": {Readings: []Reading{{Lux: -1}, {Time: 1}}},
		"nan": {Readings: []Reading{{Lux: math.NaN()}, {Time: 1}}}, "nan time": {Readings: []Reading{{Time: math.NaN()}, {Time: 1}}},
		"interval": {Interval: -5, Readings: []Reading{{}, {Time: 1}}}, "mel": {Melanopic: true, Readings: []Reading{{}, {Time: 1, MEDI: -2}}},
	} {
		if _, err := bad.Sum(); err == nil {
			t.Errorf("%s log accepted", name)
		}
	}
}

// The same light logged twice as densely sums alike, and a gap never adds.
func TestLogProperties(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		n := rapid.IntRange(2, 40).Draw(r, "n")
		var l, dense Log
		for i := range n {
			v := rapid.Float64Range(0, 20000).Draw(r, "lx")
			if i > 0 {
				dense.Readings = append(dense.Readings, Reading{Time: float64(i)*30 - 15, Lux: (v + l.Readings[i-1].Lux) / 2})
			}
			l.Readings = append(l.Readings, Reading{Time: float64(i) * 30, Lux: v})
			dense.Readings = append(dense.Readings, l.Readings[i])
		}
		a, err := l.Sum()
		b, err2 := dense.Sum()
		if err != nil || err2 != nil {
			r.Fatal(err, err2)
		}
		if math.Abs(a.LuxHours-b.LuxHours) > 1e-9*(1+a.LuxHours) {
			r.Errorf("%g then %g lx·h", a.LuxHours, b.LuxHours)
		}
		if n > 5 {
			cut := Log{Interval: 30, Readings: append(append([]Reading{}, l.Readings[:2]...), l.Readings[n-2:]...)}
			c, err := cut.Sum()
			if err != nil || c.LuxHours > a.LuxHours+1e-9 || math.Abs(c.Logged+c.Missing-float64(n-1)*30) > 1e-6 {
				r.Errorf("with a gap: %+v of %+v, %v", c, a, err)
			}
		}
	})
}

func TestTiming(t *testing.T) {
	for _, c := range []struct {
		start, wake, bed float64
		key              string
	}{
		{7.5, 7, 23, ""}, {19.8, 7, 23, "dose.late"}, {23.5, 7, 23, "dose.late"}, {13, 7, 23, "dose.midday"}, {22, 21, 12, ""}, {25, 7, 23, "dose.timing_unknown"},
	} {
		fs := CheckTiming(c.start, c.wake, c.bed, 30)
		if c.key == "" && len(fs) > 0 || c.key != "" && !finding.Has(fs, c.key) {
			t.Errorf("start %g wake %g bed %g: %v, want %q", c.start, c.wake, c.bed, fs, c.key)
		}
	}
}

func TestRoomAndForward(t *testing.T) {
	e, err := RoomPart(5000, 60, 0.5)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "room", e, 83.333, 0.001)
	near(t, "forward", Forward(1000, math.Pi/3), 500, 1e-9)
	near(t, "behind", Forward(1000, 2), 0, 0)
	for _, bad := range [][3]float64{{-1, 60, 0.5}, {1, 0, 0.5}, {1, 60, 1}, {1, math.NaN(), 0.5}} {
		if _, err := RoomPart(bad[0], bad[1], bad[2]); err == nil {
			t.Errorf("RoomPart%v accepted", bad)
		}
	}
}

func TestCautionsAreComplete(t *testing.T) {
	seen := map[string]bool{}
	for _, c := range Cautions() {
		if c.Key == "" || c.Topic == "" || c.Text == "" || c.Source == "" || seen[c.Key] {
			t.Errorf("caution %+v is incomplete or doubled", c)
		}
		seen[c.Key] = true
		if !c.Confirmed && !strings.Contains(c.Source, "memory") {
			t.Errorf("caution %s: an unconfirmed source must say so", c.Key)
		}
	}
	for _, k := range []string{"homemade", "retina", "medicines", "bipolar", "epilepsy", "stop", "uv", "stare"} {
		if !seen[k] {
			t.Errorf("no caution %q", k)
		}
	}
	if len(Targets()) != 3 || len(Protocols()) < 2 {
		t.Error("targets or protocols missing")
	}
}

func ExamplePlan() {
	s, _ := Plan(5000, 0.63)
	fmt.Printf("%.0f min by illuminance, %.0f min by its melanopic part\n", s.Photopic.Minutes, s.Melanopic.Minutes)
	s, _ = Plan(900, 0.63)
	fmt.Println(s.Photopic.Why)
	// Output:
	// 60 min by illuminance, 54 min by its melanopic part
	// no tested protocol uses 900 lx: the trials start at 2 500 lx, so no minutes are given
}
