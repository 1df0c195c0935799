package optics

import (
	"math"
	"testing"
)

// The points that nodesFor asks for carry a Gaussian over the window.
func TestNodesFor(t *testing.T) {
	for _, z := range []float64{0.1, 0.49, 1.9, 5.9, 11.9} {
		n := nodesFor(z)
		at := chebyshev(-1, 1, n)
		var to []float64
		for i := range 101 {
			to = append(to, -1+2*float64(i)/100)
		}
		m := lagrange(at, to)
		for _, c := range []float64{0, 0.3, 0.7, 1, 1.6} {
			for i, x := range to {
				sum := 0.0
				for j, p := range at {
					sum += m[i*n+j] * math.Exp(-z*(p-c)*(p-c))
				}
				if want := math.Exp(-z * (x - c) * (x - c)); math.Abs(sum-want) > 1e-7 {
					t.Fatalf("a·period² = %g, %d points, centre %g, x = %g: %g, want %g", z, n, c, x, sum, want)
				}
			}
		}
	}
}

// The same box gives the same bits.
func TestSolveRepeats(t *testing.T) {
	box := tracedBoxNamed(t, "W01")
	want, err := Solve(box, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for range 5 {
		got, err := Solve(box, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if got.Ripple() != want.Ripple() || got.SpotContrast(box.Length/3, box.Width/3) != want.SpotContrast(box.Length/3, box.Width/3) || got.Balance != want.Balance || got.Face.Corner != want.Face.Corner {
			t.Fatal("another run gives other bits")
		}
	}
}
