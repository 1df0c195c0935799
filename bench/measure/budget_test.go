package measure

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"dawnsmith/quantity"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.6g, want %.6g ± %.2g", what, got, want, tol)
	}
}

// JCGM 100:2008 (GUM), H.1: calibration of an end gauge, table H.1 and
// H.1.6. Contributions in nm with their degrees of freedom.
func endGauge() Budget {
	return Budget{X: 50000838, Parts: []Contributor{
		{Source: "standard", U: 25, Slope: 1, Freedom: 18},
		{Source: "difference", U: 9.7, Slope: 1, Freedom: 25.6},
		{Source: "expansion coefficients", U: 2.9, Slope: 1, Freedom: 50},
		{Source: "temperatures", U: 16.6, Slope: 1, Freedom: 2},
	}}
}

func TestEndGauge(t *testing.T) {
	b := endGauge()
	near(t, "u_c", b.U(), 31.7, 0.05) // the GUM's H.1.5 gives 32
	if f := math.Floor(b.Freedom()); f != 16 {
		t.Errorf("ν_eff cut to %g, the GUM has 16", f)
	}
	k, u := b.Expanded(0.99)
	near(t, "k", k, 2.92, 0.005)
	near(t, "U99", u, 93, 0.6) // 2.92 × 32 = 93 in the GUM, with u_c rounded up
}

func ExampleBudget() {
	b := Budget{X: 50000838, Parts: []Contributor{
		{Source: "standard", U: 25, Slope: 1, Freedom: 18},
		{Source: "difference", U: 9.7, Slope: 1, Freedom: 25.6},
		{Source: "expansion coefficients", U: 2.9, Slope: 1, Freedom: 50},
		{Source: "temperatures", U: 16.6, Slope: 1, Freedom: 2},
	}}
	k, _ := b.Expanded(0.99)
	fmt.Printf("u_c %.1f nm, ν_eff %.0f, k %.2f\n", b.U(), math.Floor(b.Freedom()), k)
	// Output: u_c 31.7 nm, ν_eff 16, k 2.92
}

// JCGM 100:2008 (GUM), table G.2, values of t_p(ν).
func TestStudent(t *testing.T) {
	for _, c := range []struct{ p, v, want float64 }{
		{0.95, 1, 12.71}, {0.95, 2, 4.30}, {0.95, 10, 2.23}, {0.95, 50, 2.01}, {0.95, math.Inf(1), 1.960},
		{0.99, 1, 63.66}, {0.99, 16, 2.92}, {0.99, 50, 2.68}, {0.99, math.Inf(1), 2.576},
		{0.6827, 5, 1.11}, {0.9545, math.Inf(1), 2.000},
	} {
		near(t, fmt.Sprintf("t_%g(%g)", c.p, c.v), Student(c.p, c.v), c.want, 0.0051)
	}
}

// JCGM 100:2008 (GUM), 4.3.7, 4.3.9 and 4.3.4 (a class B resistor: 129 µΩ at
// 99 % is a u of 50 µΩ with k = 2.58).
func TestShapes(t *testing.T) {
	near(t, "rectangle", Rectangular("", "", 1, 1).U, 0.577, 0.001)
	near(t, "triangle", Triangular("", "", 1, 1).U, 0.408, 0.001)
	near(t, "certificate", Stated("", "", 129, 2.58, 1).U, 50, 0.05)
	near(t, "mean of ten", Repeated("", "", 13, 10, 1).U, 4.111, 0.001)
}

// The property GUM G.4.1 NOTE states: ν_eff lies between the smallest ν and
// the sum of all; and lines of one source add before they are squared.
func TestBudgetProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "n")
		var b Budget
		least, sum := math.Inf(1), 0.0
		for i := range n {
			c := Contributor{Source: fmt.Sprint("s", i), U: rapid.Float64Range(0.01, 10).Draw(t, "u"), Slope: rapid.Float64Range(-3, 3).Filter(func(x float64) bool { return math.Abs(x) > 0.01 }).Draw(t, "c"), Freedom: rapid.Float64Range(1, 60).Draw(t, "ν")}
			b.Parts = append(b.Parts, c)
			least, sum = math.Min(least, c.Freedom), sum+c.Freedom
		}
		if f := b.Freedom(); f < least*(1-1e-9) || f > sum*(1+1e-9) {
			t.Fatalf("ν_eff %g outside %g … %g", f, least, sum)
		}
		// A larger contribution never shrinks the whole.
		u := b.U()
		b.Parts[0].U *= 1.5
		if b.U() < u {
			t.Fatalf("u fell from %g to %g", u, b.U())
		}
		b.Parts[0].U /= 1.5
		// The same error once more with the opposite sign cancels.
		twin := b.Parts[0]
		twin.Slope = -twin.Slope
		b.Parts = append(b.Parts, twin)
		rest := Budget{Parts: b.Parts[1:n]}
		if d := math.Abs(b.U() - rest.U()); d > 1e-9*(1+u) {
			t.Fatalf("cancelled source leaves %g", d)
		}
		shares := 0.0
		for _, l := range b.Table() {
			shares += l.Share
		}
		if v := b.U(); v > 0 && math.Abs(shares-1) > 1e-9 {
			t.Fatalf("shares add up to %g", shares)
		}
	})
}

func TestMeasuredExpanded(t *testing.T) {
	b := endGauge()
	m := b.measured("k", "", "")
	k, u := m.Expanded(0.99)
	near(t, "k", k, 2.92, 0.005)
	near(t, "U", u, k*b.U(), 1e-9)
	m = Measured{Value: quantity.Measured(1, 0.1, "a")}
	if k, _ := m.Expanded(0.9545); math.Abs(k-2) > 1e-3 {
		t.Errorf("k = %g without small samples, want 2", k)
	}
}
