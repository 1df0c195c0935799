package quantity

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestParse(t *testing.T) {
	for _, c := range []struct {
		text string
		dim  Dimension
		want float64
	}{
		{"280 mm", Length, 0.280},
		{"280mm", Length, 0.280},
		{"11 in", Length, 0.2794}, // 1 in = 25.4 mm exactly (ISO 80000-3)
		{"11 1/2 in", Length, 0.2921},
		{"1/2 in", Length, 0.0127},
		{"1 ft", Length, 0.3048},
		{"1,5 m", Length, 1.5},
		{"0,125 m", Length, 0.125},
		{"12 300 lx", Illuminance, 12300},
		{"12\u202f300.5\u202flx", Illuminance, 12300.5},
		{"1.2e3 lx", Illuminance, 1200},
		{"1 fc", Illuminance, 10.76391041671}, // 1 lm/ft²
		{"42 °C", Temperature, 315.15},
		{"107.6 °F", Temperature, 315.15},
		{"300 K", Temperature, 300},
		{"−5 °C", Temperature, 268.15},
		{"18 °F", TemperatureRise, 10},
		{"65 %", Ratio, 0.65},
		{"0.65", Ratio, 0.65},
		{"120 /m", CountPerLength, 120},
		{"120 1/m", CountPerLength, 120},
		{"60 min", Time, 3600},
		{"0.5 mm²", CrossSection, 0.5e-6},
		{"0.5 mm2", CrossSection, 0.5e-6},
		{"20 Ω", Resistance, 20},
		{"-0.15 %/K", PerKelvin, -0.0015},
		{"2 lb", Mass, 0.90718474},
		{"12", Number, 12},
	} {
		got, err := Parse(c.text, c.dim)
		if err != nil || math.Abs(got-c.want) > 1e-12*math.Max(1, math.Abs(c.want)) {
			t.Errorf("Parse(%q, %v) = %v, %v; want %v", c.text, c.dim, got, err, c.want)
		}
	}
}

// ASTM B258 table: 20 AWG 0.518 mm², 18 AWG 0.823 mm², 14 AWG 2.081 mm².
func TestParseWireGauge(t *testing.T) {
	for text, mm2 := range map[string]float64{"20 AWG": 0.518, "AWG 18": 0.823, "14 awg": 2.081} {
		got, err := Parse(text, CrossSection)
		if err != nil || math.Abs(got*1e6-mm2) > 0.0005 {
			t.Errorf("Parse(%q) = %v mm², %v; want %v", text, got*1e6, err, mm2)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for _, c := range []struct {
		text string
		dim  Dimension
		says string
	}{
		{"0.55", Length, "the unit is missing"},
		{"mm", Length, "no number"},
		{"", Length, "no number"},
		{"12 V", Length, `unit "V" is not known here`},
		{"1,500 mm", Length, "decimal or a thousands mark"},
		{"1.500,2 mm", Length, "more than one decimal mark"},
		{"1 2 3 mm", Length, "more than one number"},
		{"1/0 in", Length, "not a fraction"},
		{"NaN mm", Length, "no number"},
		{"1e999 mm", Length, "not an ordinary number"},
		{"99 AWG", CrossSection, "whole number from 0 to 40"},
		{"12 x", Number, "follows the number"},
	} {
		x, err := Parse(c.text, c.dim)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("Parse(%q, %v) = %v, %v; want an error with %q", c.text, c.dim, x, err, c.says)
		}
	}
}

func TestParseUncertain(t *testing.T) {
	for _, c := range []struct {
		text string
		dim  Dimension
		x, u float64
	}{
		{"120 lm/W ± 6 lm/W", Efficacy, 120, 6},
		{"120 ± 6 lm/W", Efficacy, 120, 6},
		{"120 lm/W ± 5 %", Efficacy, 120, 6},
		{"120 lm/W +- 5 %", Efficacy, 120, 6},
		{"65 % ± 2 %", Ratio, 0.65, 0.02},
		{"0.65 ± 0.02", Ratio, 0.65, 0.02},
		{"22 °C ± 2 °C", Temperature, 295.15, 2},
		{"280 mm", Length, 0.28, 0},
	} {
		x, u, has, err := ParseUncertain(c.text, c.dim)
		if err != nil || math.Abs(x-c.x) > 1e-12 || math.Abs(u-c.u) > 1e-12 || has != (c.u != 0) {
			t.Errorf("ParseUncertain(%q) = %v ± %v (%v), %v; want %v ± %v", c.text, x, u, has, err, c.x, c.u)
		}
	}
	for _, bad := range []string{"120 lm/W ± -6", "± 6 lm/W", "120 lm/W ±", "1 ± 2 ± 3 lm/W", "120 lm/W ± 3 V"} {
		if _, _, _, err := ParseUncertain(bad, Efficacy); err == nil {
			t.Errorf("ParseUncertain(%q) passed", bad)
		}
	}
}

// Every unit of every dimension reads back what was written.
func TestUnitsRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := Dimension(rapid.IntRange(0, int(endOfDimensions)-1).Draw(t, "dimension"))
		x := rapid.Float64Range(-1e6, 1e6).Draw(t, "x")
		if math.Abs(x) < 1e-3 {
			x = 0
		}
		got, err := Parse(Exactly(x, d), d)
		if err != nil || math.Abs(got-x) > 1e-9*math.Max(1, math.Abs(x)) {
			t.Fatalf("%v: wrote %q, read %v, %v; want %v", d, Exactly(x, d), got, err, x)
		}
		for _, u := range dimensions[d].units {
			y, ok := d.In(x, u.name)
			if back := y*u.factor + u.offset; !ok || math.Abs(back-x) > 1e-9*math.Max(1, math.Abs(x)) {
				t.Fatalf("%v in %q: %v, back %v", x, u.name, y, back)
			}
		}
	})
}

func TestFormat(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{Format(0.28, Length, 3), "280\u202fmm"},
		{Format(315.15, Temperature, 3), "42.0\u202f°C"},
		{Digits(12345, 3), "12\u202f300"},
		{Digits(999.96, 4), "1000"},
		{Digits(0.00012345, 2), "0.00012"},
		{Digits(-0.5, 1), "−0.5"},
		{Digits(math.NaN(), 3), "–"},
		{Decimals(-0.001, 2), "0.00"},
		{FormatUncertain(12345, 678), "12\u202f300 ± 700"},
		{FormatUncertain(12345, 123), "12\u202f350 ± 120"},
		{FormatUncertain(0.28193, 0.0123), "0.282 ± 0.012"},
		{FormatUncertain(80, 0), "80.00"},
		{FormatValue(Measured(0.28, 0.0005, "ruler"), Length), "280.0 ± 1.0\u202fmm"},
		{FormatIn(0.28, Length, "in", 3), "11.0\u202fin"},
		{FormatIn(0.5, Angle, "°", 3), "28.6°"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}

// JCGM 100:2008, annex H.1: end-gauge length, standard uncertainties 25, 9.7,
// 2.9 and 16.6 nm with unit or given sensitivities combine to 31.7 nm.
func TestCombineGUMH1(t *testing.T) {
	v := Combine(50.000838e-3,
		Part{Measured(0, 25e-9, "standard"), 1},
		Part{Measured(0, 9.7e-9, "comparison"), 1},
		Part{Measured(0, 2.9e-9, "expansion"), 1},
		Part{Measured(0, 16.6e-9, "temperature"), 1})
	if math.Abs(v.U()-31.7e-9) > 0.05e-9 {
		t.Errorf("u = %v nm, want 31.7", v.U()*1e9)
	}
	if c := v.Contributors(1); c[0].Source != "standard" {
		t.Errorf("largest contributor %v", c)
	}
}

func TestSharedSourcesCancel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(1, 1e4).Draw(t, "a")
		b := rapid.Float64Range(1, 1e4).Draw(t, "b")
		rel := rapid.Float64Range(0, 0.2).Draw(t, "rel")
		va := Measured(a, a*rel, "meter").Add(Measured(0, 1, "reading a"))
		vb := Measured(b, b*rel, "meter").Add(Measured(0, 1, "reading b"))
		ratio := va.Div(vb)
		want := math.Hypot(1/b, a/(b*b))
		if math.Abs(ratio.U()-want) > 1e-9*math.Max(1, want) {
			t.Fatalf("u(ratio) = %v, want %v without the meter", ratio.U(), want)
		}
		if self := va.Sub(va); self.U() != 0 || self.X != 0 {
			t.Fatalf("v − v = %v", self)
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"280 mm", "11 1/2 in", "1,5 m", "20 AWG", "65 %", "1e3 lx", "120 ± 5 %", "/m", "1/"} {
		f.Add(s, 1)
	}
	f.Fuzz(func(t *testing.T, s string, d int) {
		dim := Dimension(((d % int(endOfDimensions)) + int(endOfDimensions)) % int(endOfDimensions))
		if x, err := Parse(s, dim); err == nil && (math.IsNaN(x) || math.IsInf(x, 0)) {
			t.Fatalf("Parse(%q) = %v", s, x)
		}
		if x, u, _, err := ParseUncertain(s, dim); err == nil && (math.IsNaN(x+u) || math.IsInf(x+u, 0) || u < 0) {
			t.Fatalf("ParseUncertain(%q) = %v ± %v", s, x, u)
		}
	})
}
