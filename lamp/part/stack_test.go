package part

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"dawnsmith/quantity"
)

func plain(t, r, u, l, deg float64) Sheet {
	v := func(x float64, what string) quantity.Value { return quantity.Measured(x, 0.02*x+1e-6, what) }
	return Sheet{Item: Item{ID: "s", Name: "s"}, Transmittance: v(t, "T"), Reflectance: v(r, "R"), Clear: v(u, "u"), Lobe: l, LobeWidth: v(deg*math.Pi/180, "w"),
		Thickness: 0.001, Density: 1200, Limit: 350, Emissivity: 0.9}
}

// Two equal sheets pass T²/(1 − R²), as the bench's reading of two sheets has
// it; a sheet that lets all light straight through changes nothing; nothing is
// gained, and the order matters for R but not for T.
func TestUnder(t *testing.T) {
	film, clear := plain(0.6, 0.34, 0.01, 0.6, 70), plain(1, 0, 1, 0, 10)
	same := film.Under(clear)
	for what, d := range map[string]float64{"T": same.Transmittance.X - 0.6, "R": same.Reflectance.X - 0.34, "u": same.Clear.X - 0.01, "l": same.Lobe - 0.6, "width": same.LobeWidth.X - 70*math.Pi/180} {
		if math.Abs(d) > 1e-9 {
			t.Errorf("film under nothing: %s off by %v", what, d)
		}
	}
	two := film.Under(film)
	if want := 0.36 / (1 - 0.34*0.34); math.Abs(two.Transmittance.X-want) > 1e-15 {
		t.Errorf("two films pass %v, want %v", two.Transmittance.X, want)
	}
	if want := 1e-4 * (1 - 0.34*0.34); math.Abs(two.Clear.X-want) > 1e-15 {
		t.Errorf("two films let %v through unscattered, want %v", two.Clear.X, want)
	}
	if two.LobeWidth.X <= film.LobeWidth.X || two.Thickness != 0.002 || math.Abs(two.Density-1200) > 1e-9 {
		t.Errorf("%+v", two)
	}
	// Both films are of one make: their doubt in T counts twice. dT/dT₁ is
	// 2T/(1 − R²), dT/dR is 2RT²/(1 − R²)².
	k := 1 - 0.34*0.34
	dT, dR := 2*0.6/k*(0.02*0.6), 2*0.34*0.36/(k*k)*(0.02*0.34)
	if want := math.Hypot(dT, dR); math.Abs(two.Transmittance.U()/want-1) > 2e-3 {
		t.Errorf("T of two films ± %v, want %v", two.Transmittance.U(), want)
	}
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) Sheet {
			tr := rapid.Float64Range(0.05, 0.95).Draw(t, name+" T")
			u := rapid.Float64Range(0, 1).Draw(t, name+" u")
			return plain(tr, rapid.Float64Range(0, 1-tr).Draw(t, name+" R"), u, rapid.Float64Range(0, 1-u).Draw(t, name+" l"), rapid.Float64Range(6, 119).Draw(t, name+" width"))
		}
		a, b := draw("a"), draw("b")
		ab, ba := a.Under(b), b.Under(a)
		if sum := ab.Transmittance.X + ab.Reflectance.X; sum > 1+1e-12 || ab.Transmittance.X > min(a.Transmittance.X, b.Transmittance.X)+1e-12 || ab.Reflectance.X < a.Reflectance.X-1e-12 {
			t.Fatalf("%+v under %+v makes %+v", a, b, ab)
		}
		if math.Abs(ab.Transmittance.X-ba.Transmittance.X) > 1e-12 || math.Abs(ab.Clear.X-ba.Clear.X) > 1e-12 || ab.Clear.X+ab.Lobe > 1+1e-12 || math.IsNaN(ab.LobeWidth.X+ab.Transmittance.U()) {
			t.Fatalf("the order matters: %+v, %+v", ab, ba)
		}
	})
}
