package circuit

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// The diode law holds both ways: the current found satisfies
// V = n·N·Vt·ln(1+I/IS) + (n·RS+RBallast)·I.
func TestSeriesDiodeLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := Unit{
			Kind: SeriesDiode, VNom: 24, Series: rapid.IntRange(1, 8).Draw(t, "n"),
			IS:       math.Pow(10, rapid.Float64Range(-30, -8).Draw(t, "log is")),
			Ideality: rapid.Float64Range(1, 4).Draw(t, "ideality"), RS: rapid.Float64Range(0, 5).Draw(t, "rs"),
			RBallast: math.Pow(10, rapid.Float64Range(-2, 4).Draw(t, "log ballast")),
		}
		v := rapid.Float64Range(0.1, 40).Draw(t, "v")
		i, g := u.Current(v)
		n := float64(u.Series)
		back := n*u.Ideality*ThermalVoltage*math.Log1p(i/u.IS) + (n*u.RS+u.RBallast)*i
		if i > 1e6*u.IS && math.Abs(back-v) > 1e-11*v {
			t.Fatalf("I(%g V) = %g A, which belongs to %.15g V", v, i, back)
		}
		slope := 1 / (n*u.Ideality*ThermalVoltage/(i+u.IS) + n*u.RS + u.RBallast)
		if math.Abs(g-slope) > 1e-9*slope {
			t.Fatalf("dI/dV = %g S, want %g S", g, slope)
		}
	})
}

// Every law rises, and its slope is that of its current.
func TestLawsRise(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.SampledFrom(testUnits).Draw(t, "unit")
		u.P = rapid.SampledFrom([]float64{0, 2, 8, 20}).Draw(t, "p")
		v := rapid.Float64Range(-30, 40).Draw(t, "v")
		const h = 1e-5
		a, _ := u.Current(v - h)
		b, g := u.Current(v)
		c, _ := u.Current(v + h)
		if a > b || b > c || g < 0 {
			t.Fatalf("not rising at %g V: %g %g %g, slope %g", v, a, b, c, g)
		}
		if d := (c - a) / (2 * h); math.Abs(d-g) > 2e-4*math.Abs(g)+1e-9 && math.Abs(v-u.V0) > 2*h {
			t.Fatalf("slope at %g V is %g S, differences give %g S", v, g, d)
		}
	})
}

// Warm LEDs: the string's forward voltage falls n·2 mV/K, so a ballast strip
// draws n·2 mV/K times dI/dV more. For 6 LEDs on 220 Ω at 30 mA that is some
// +0.05 mA/K, as series resistances alone give: 12 mV/238 Ω.
func TestWarmed(t *testing.T) {
	for _, u := range []Unit{diodeUnit, {Kind: PiecewiseLinear, VNom: 24, V0: 16.2, R: 238, Series: 6}} {
		i, g := u.Current(24)
		warm := u.Warmed(10)
		w, _ := warm.Current(24)
		relative(t, u.Kind.String()+" rise per kelvin", (w-i)/10, 6*0.002*g, 0.01)
	}
	i, _ := ccUnit.Current(24)
	warm := ccUnit.Warmed(30)
	if w, _ := warm.Current(24); math.Abs(w-i) > 2e-4*i {
		t.Errorf("a regulated unit drew %g A cold and %g A warm", i, w)
	}
}

// 24 V strip with 7.8 V of headroom: 1 % of supply voltage moves the current
// 24/7.8 = 3.1 %; a supply at 25 V instead of 24 V moves it 1/7.8 = 13 %.
func TestVoltageSensitivity(t *testing.T) {
	i, g := pwlUnit.Current(24)
	relative(t, "relative slope", g*24/i, 24/7.8, 1e-12)
	j, _ := pwlUnit.Current(25)
	relative(t, "current at 25 V", j/i, 1+1/7.8, 1e-12)
}

// Label power is what the unit draws at nominal voltage. A 24 V strip of
// 14.4 W/m cut every 50 mm takes 30 mA a unit.
func TestFromDatasheet(t *testing.T) {
	for _, k := range []Kind{PiecewiseLinear, SeriesDiode, ConstantCurrent} {
		for _, d := range []Datasheet{
			{VNom: 24, PowerPerM: 14.4, CutLength: 0.05, Series: 6},
			{VNom: 12, PowerPerM: 14.4, CutLength: 0.05, Series: 3},
			{VNom: 24, PowerPerM: 28.8, CutLength: 7.0 / 240, Series: 7},
			{VNom: 12, PowerPerM: 24, CutLength: 0.05, Series: 3, Parallel: 2},
		} {
			d.Kind = k
			u, err := FromDatasheet(d)
			if err != nil {
				t.Fatalf("%+v: %v", d, err)
			}
			i, _ := u.Current(d.VNom)
			relative(t, k.String()+" power", i*d.VNom/d.CutLength, d.PowerPerM, 1e-9)
		}
	}
	u, err := FromDatasheet(Datasheet{Kind: SeriesDiode, VNom: 24, PowerPerM: 14.4, CutLength: 0.05})
	if err != nil || u.RBallast < 150 || u.RBallast > 260 {
		t.Errorf("ballast of a 24 V 14.4 W/m unit is %g Ω (%v); strips have about 220 Ω", u.RBallast, err)
	}
	if _, err := FromDatasheet(Datasheet{Kind: SeriesDiode, VNom: 12, PowerPerM: 14.4, CutLength: 0.05, Series: 6}); err == nil {
		t.Error("six white LEDs in series on 12 V were accepted")
	}
}

func ExampleFromPair() {
	// 30 mA at 24 V and 21 mA at 21.6 V on the bench supply.
	u, err := FromPair(24, 0.030, 21.6, 0.021)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f Ω above %.1f V\n", u.R, u.V0)
	// Output: 267 Ω above 16.0 V
}

func TestUnitRefusals(t *testing.T) {
	for _, u := range []Unit{
		{},
		{Kind: PiecewiseLinear, VNom: 24, V0: 16, R: 0},
		{Kind: PiecewiseLinear, VNom: 24, V0: math.NaN(), R: 1},
		{Kind: SeriesDiode, VNom: 24, Series: 6, IS: 4e-21, Ideality: 2.5},
		{Kind: SeriesDiode, VNom: 24, Series: 6, IS: 0, Ideality: 2.5, RBallast: 100},
		{Kind: ConstantCurrent, VNom: 24, V0: 16, ROn: 60, ISet: 0.03, Slope: -0.1},
		{Kind: 9, VNom: 24},
	} {
		if err := u.Validate(); err == nil || !strings.Contains(err.Error(), "allowed") {
			t.Errorf("%+v: error %v does not say what is allowed", u, err)
		}
	}
}

// Light of a unit at half its current: 0.5^0.95 = 0.518.
func TestRelativeFlux(t *testing.T) {
	relative(t, "flux at half current", RelativeFlux(0.5), 0.5176, 1e-3)
	if RelativeFlux(1) != 1 || RelativeFlux(0) != 0 || RelativeFlux(math.NaN()) != 0 {
		t.Error("flux at nominal, none and nonsense current is not 1, 0 and 0")
	}
}
