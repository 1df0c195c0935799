package predict

import (
	"math"
	"testing"

	"dawnsmith/finding"
	"dawnsmith/lamp"
)

// A second film takes the dots out and some of the light; the order of unlike
// sheets moves the loss in the box, the doubts of both stand in the result.
func TestTwoSheets(t *testing.T) {
	s := testSpec()
	s.Sheet = "film"
	one := work(t, s)
	s.SecondSheet = "film"
	u, err := Spread(build(t, s))
	if err != nil {
		t.Fatal(err)
	}
	two := u.Result
	for key, x := range two.Numbers {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			t.Errorf("%s is %v", key, x)
		}
	}
	if !(two.Numbers[DotRatio] < 0.05*one.Numbers[DotRatio]) {
		t.Errorf("chips stand out by %v behind one film, by %v behind two", one.Numbers[DotRatio], two.Numbers[DotRatio])
	}
	if !(two.Numbers[FluxOut] < one.Numbers[FluxOut] && two.Numbers[FluxOut] > 0.6*one.Numbers[FluxOut]) {
		t.Errorf("%v lm through one film, %v lm through two", one.Numbers[FluxOut], two.Numbers[FluxOut])
	}
	if two.Numbers[Ripple] > one.Numbers[Ripple]+1e-6 {
		t.Errorf("ripple %v behind one film, %v behind two", one.Numbers[Ripple], two.Numbers[Ripple])
	}
	if l := two.Lamp; l.Height() != l.Tray.Depth-2*l.Sheets()[0].Thickness || l.Mass() <= one.Lamp.Mass() {
		t.Errorf("height %v, mass %v", l.Height(), l.Mass())
	}
	if u.Values[FluxOut].U() <= 0 {
		t.Error("no doubt")
	}
	s.SecondSheet = "sheet-80"
	mixed := work(t, s)
	s.Sheet, s.SecondSheet = s.SecondSheet, s.Sheet
	other := work(t, s)
	if math.Abs(mixed.Box.Sheet.T-other.Box.Sheet.T) > 1e-12 || mixed.Box.Sheet.R == other.Box.Sheet.R {
		t.Errorf("either order: %+v, %+v", mixed.Box.Sheet, other.Box.Sheet)
	}
}

func TestTwoSheetsRefuse(t *testing.T) {
	s := testSpec()
	s.SecondSheet = "gone"
	if _, err := lamp.Build(s, testSet()); err == nil {
		t.Error("an unknown second sheet was taken")
	}
	s.Sheet, s.SecondSheet = "", "film"
	if _, err := lamp.Build(s, testSet()); err == nil {
		t.Error("a second sheet lies on none")
	}
	s.Sheet = "film"
	l := build(t, s)
	l.Spec.Place = l.Spec.Place.WithDefaults()
	if fs := l.Review(); finding.Has(fs, "lamp.no_sheet") {
		t.Error("two sheets are none")
	}
}

// Lux over area is what testers quote; exitance is another thing.
func TestLuxPerArea(t *testing.T) {
	r := work(t, testSpec())
	if got, want := r.Numbers["illuminance_per_area_lx_m2"], r.Numbers[MeterLux]/(0.38*0.28); math.Abs(got/want-1) > 1e-12 {
		t.Errorf("%v lx/m², want %v", got, want)
	}
}
