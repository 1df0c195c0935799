package daylight

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"dawnsmith/finding"

	"pgregory.net/rapid"
)

type mixRow struct {
	CaseSetting
	Kelvin float64 `json:"cct_target_K"`
	Lux    float64 `json:"lx_target"`
	MEDI   float64 `json:"mEDI_target"`
}

type mixFile struct {
	Tolerance struct {
		Drive float64
		CCT   float64 `json:"cct_K"`
		Duv   float64
		Lx    float64 `json:"lx_relative"`
	}
	Pairs []struct {
		Warm, Cool CaseChannel
		Ends       []CaseMixed
		Sweep      []struct {
			Share float64 `json:"cool_share_of_illuminance"`
			CaseMixed
		}
		ConstantLx   []mixRow `json:"constant_lx"`
		ConstantMEDI []mixRow `json:"constant_mEDI"`
		Maximum      []mixRow
	}
}

func readMix(t testing.TB) mixFile {
	t.Helper()
	b, err := os.ReadFile("testdata/mixing.json")
	if err != nil {
		t.Fatal(err)
	}
	var f mixFile
	if err := json.Unmarshal(b, &f); err != nil {
		t.Fatal(err)
	}
	if len(f.Pairs) == 0 || len(f.Pairs[0].ConstantMEDI) == 0 {
		t.Fatal("mixing.json is empty")
	}
	return f
}

func (f *mixFile) pair(i int) Pair {
	p := f.Pairs[i]
	return Pair{Warm: p.Warm.Channel(), Cool: p.Cool.Channel()}
}

// Two published LED illuminants (CIE 15:2018, LED-B1 and LED-B5) mixed; solved
// elsewhere by another search (testdata/mixing.json).
func TestMixingCases(t *testing.T) {
	f := readMix(t)
	same := func(what string, got Mixed, want CaseMixed) {
		t.Helper()
		near(t, what+" lx", got.Lux, want.Lux, f.Tolerance.Lx*want.Lux)
		near(t, what+" mEDI", got.MEDI, want.MEDI, f.Tolerance.Lx*want.MEDI)
		near(t, what+" DER", got.DER, want.DER, 1e-6)
		near(t, what+" x", got.X, want.X, 1e-6)
		near(t, what+" y", got.Y, want.Y, 1e-6)
		near(t, what+" CCT", got.Kelvin, want.Kelvin, f.Tolerance.CCT)
		near(t, what+" Duv", got.Duv, want.Duv, f.Tolerance.Duv)
	}
	row := func(what string, got Mixed, r mixRow) {
		t.Helper()
		same(what, got, r.Result)
		near(t, what+" warm", got.Warm, r.Warm, f.Tolerance.Drive)
		near(t, what+" cool", got.Cool, r.Cool, f.Tolerance.Drive)
		near(t, what+" share", got.Share, r.Share, f.Tolerance.Drive)
		if got.Colour.String() != r.Colour {
			t.Errorf("%s: colour %v, want %s", what, got.Colour, r.Colour)
		}
		if c := got.Case(); what != "maximum" && (c.LimitedBy == nil) != (r.LimitedBy == nil) || c.LimitedBy != nil && r.LimitedBy != nil && *c.LimitedBy != *r.LimitedBy {
			t.Errorf("%s at %g K: limited by %q, want %v", what, r.Kelvin, got.LimitedBy, r.LimitedBy)
		}
	}
	for i, c := range f.Pairs {
		p := f.pair(i)
		for k, e := range c.Ends {
			m, err := p.At([]float64{1, 0, 1}[k], []float64{0, 1, 1}[k])
			if err != nil {
				t.Fatal(err)
			}
			same("end", m, e)
		}
		for _, s := range c.Sweep {
			m, err := p.At(s.Lux*(1-s.Share)/p.Warm.Lux, s.Lux*s.Share/p.Cool.Lux)
			if err != nil {
				t.Fatal(err)
			}
			same("sweep", m, s.CaseMixed)
		}
		for _, r := range c.ConstantLx {
			m, err := p.Mix(Target{Kelvin: r.Kelvin, Lux: r.Lux})
			if err != nil {
				t.Fatal(err)
			}
			row("constant lx", m, r)
		}
		for _, r := range c.ConstantMEDI {
			m, err := p.Mix(Target{Kelvin: r.Kelvin, MEDI: r.MEDI})
			if err != nil {
				t.Fatal(err)
			}
			row("constant mEDI", m, r)
		}
		for _, r := range c.Maximum {
			m, err := p.Maximum(r.Kelvin)
			if err != nil {
				t.Fatal(err)
			}
			row("maximum", m, r)
		}
	}
}

// Drives stay in range, the level is kept or said to be missing, and with
// KeepLevel never less light comes than with KeepColour.
func TestMixProperties(t *testing.T) {
	f := readMix(t)
	rapid.Check(t, func(r *rapid.T) {
		p := f.pair(0)
		p.Warm.Lux = rapid.Float64Range(100, 20000).Draw(r, "warm")
		p.Cool.Lux = rapid.Float64Range(100, 20000).Draw(r, "cool")
		p.Cross = rapid.SampledFrom([]float64{0, 0.04, 0.2}).Draw(r, "cross")
		tg := Target{Kelvin: rapid.Float64Range(1500, 9000).Draw(r, "K")}
		level := rapid.Float64Range(10, 40000).Draw(r, "level")
		if rapid.Bool().Draw(r, "melanopic") {
			tg.MEDI = level
		} else {
			tg.Lux = level
		}
		value := func(m Mixed) float64 {
			if tg.MEDI > 0 {
				return m.MEDI
			}
			return m.Lux
		}
		a, err := p.Mix(tg)
		if err != nil {
			r.Fatal(err)
		}
		tg.Keep = KeepLevel
		b, err := p.Mix(tg)
		if err != nil {
			r.Fatal(err)
		}
		for _, m := range []Mixed{a, b} {
			if !(m.Warm >= 0 && m.Warm <= 1 && m.Cool >= 0 && m.Cool <= 1) {
				r.Errorf("drives %g, %g", m.Warm, m.Cool)
			}
			if m.Missing == 0 && math.Abs(value(m)-level) > 1e-6*level {
				r.Errorf("%g of %g without a word", value(m), level)
			}
			if m.Missing > 0 != finding.Has(m.Findings, "mix.level") {
				r.Errorf("missing %g but findings %v", m.Missing, m.Findings)
			}
		}
		if value(b) < value(a)*(1-1e-9) {
			r.Errorf("keeping the level gives %g, keeping the colour %g", value(b), value(a))
		}
		if a.Colour == Within && math.Abs(a.Kelvin-tg.Kelvin) > 0.1 {
			r.Errorf("%g K for %g K", a.Kelvin, tg.Kelvin)
		}
		most, err := p.Maximum(tg.Kelvin)
		if err != nil {
			r.Fatal(err)
		}
		if a.Lux > most.Lux*(1+1e-9) || most.Warm < 1-1e-9 && most.Cool < 1-1e-9 {
			r.Errorf("more than the most: %g of %g (%g, %g)", a.Lux, most.Lux, most.Warm, most.Cool)
		}
	})
}

func TestMixFindingsAndRefusals(t *testing.T) {
	f := readMix(t)
	p := f.pair(0)
	for _, c := range []struct {
		target Target
		key    string
		want   bool
	}{
		{Target{Kelvin: 2500, Lux: 100}, "mix.below_warm", true}, {Target{Kelvin: 3000, Lux: 100}, "mix.below_warm", false},
		{Target{Kelvin: 7000, Lux: 100}, "mix.above_cool", true}, {Target{Kelvin: 6000, Lux: 100}, "mix.above_cool", false},
		{Target{Kelvin: 3000, Lux: 9000}, "mix.level", true}, {Target{Kelvin: 3000, Lux: 5000}, "mix.level", false},
		{Target{Kelvin: 3000, Lux: 9000, Keep: KeepLevel}, "mix.colour_given_up", true}, {Target{Kelvin: 4000, Lux: 9000, Keep: KeepLevel}, "mix.colour_given_up", false},
		{Target{Kelvin: 4000, Lux: 100}, "mix.duv", true}, {Target{Kelvin: 3000, Lux: 100}, "mix.duv", false},
	} {
		m, err := p.Mix(c.target)
		if err != nil {
			t.Fatal(err)
		}
		if finding.Has(m.Findings, c.key) != c.want {
			t.Errorf("%+v: %s is %v", c.target, c.key, !c.want)
		}
	}
	for _, bad := range []Target{{}, {Kelvin: 4000}, {Kelvin: 4000, Lux: 1, MEDI: 1}, {Kelvin: math.NaN(), Lux: 1}, {Kelvin: 4000, Lux: math.Inf(1)}, {Kelvin: 4000, Lux: -1}, {Kelvin: 4000, Lux: math.NaN()}} {
		if _, err := p.Mix(bad); err == nil {
			t.Errorf("%+v accepted", bad)
		}
	}
	swapped := Pair{Warm: p.Cool, Cool: p.Warm}
	if err := swapped.Validate(); err == nil {
		t.Error("a warm channel cooler than the cool one is accepted")
	}
	dark := p
	dark.Warm.Lux = 0
	if err := dark.Validate(); err == nil {
		t.Error("a dark channel is accepted")
	}
	if _, err := p.At(1.1, 0); err == nil {
		t.Error("a drive above 1 is accepted")
	}
	off, err := p.At(0, 0)
	if err != nil || off.Lux != 0 || off.Kelvin != 0 || off.DER != 0 {
		t.Errorf("both off: %+v, %v", off, err)
	}
}

// IEC 62386-102: level 254 is 100 %, 170 is about 10 %, 85 about 1 %, 1 is
// 0.1 % (standard curve 10^((N-1)/(253/3)-1)).
func TestDALI(t *testing.T) {
	for _, c := range []struct {
		n    int
		want float64
	}{{254, 1}, {170, 0.10073}, {85, 0.0099}, {1, 0.001}, {0, 0}} {
		got, err := DALIFraction(c.n)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "fraction", got, c.want, 0.002*c.want+1e-12)
	}
	for n := 0; n <= 254; n++ {
		fr, _ := DALIFraction(n)
		if back, err := DALILevel(fr); err != nil || back != n {
			t.Errorf("level %d comes back as %d, %v", n, back, err)
		}
	}
	if _, err := DALILevel(1.5); err == nil {
		t.Error("1.5 accepted")
	}
	if _, err := DALIFraction(255); err == nil {
		t.Error("255 accepted")
	}
}

func TestPWMAndGamma(t *testing.T) {
	step, off, err := PWM(0.01, 8)
	if err != nil || step != 3 {
		t.Fatalf("step %d, %v", step, err)
	}
	near(t, "off", off, 3/255.0/0.01-1, 1e-12)
	if _, _, err := PWM(0.5, 2); err == nil {
		t.Error("2 bits accepted")
	}
	low, _ := SmallestLevel(8)
	near(t, "smallest", low, 1/255.0, 1e-15)
	rapid.Check(t, func(r *rapid.T) {
		v := rapid.Float64Range(0, 1).Draw(r, "v")
		if got := Linear(Gamma(v, 2.2), 2.2); math.Abs(got-v) > 1e-12 {
			r.Errorf("%g comes back as %g", v, got)
		}
	})
}
