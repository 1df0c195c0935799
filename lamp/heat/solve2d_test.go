package heat

import (
	"encoding/json"
	"math/rand/v2"
	"os"
	"testing"
)

type caseFile struct {
	Tolerance struct {
		Mean float64 `json:"floor_mean_K"`
		Max  float64 `json:"floor_max_K"`
	} `json:"tolerance"`
	Cases []struct {
		TrayCase
		Result map[string]any `json:"result"`
	} `json:"cases"`
}

func readCases(t testing.TB) caseFile {
	t.Helper()
	b, err := os.ReadFile("testdata/cases.json")
	if err != nil {
		t.Fatal(err)
	}
	var f caseFile
	if err := json.Unmarshal(b, &f); err != nil {
		t.Fatal(err)
	}
	if len(f.Cases) == 0 {
		t.Fatal("no cases")
	}
	return f
}

// The cases were solved by an independent finite-difference program on uniform
// grids of 300 to 450 cells a side (testdata/cases.json; the laws are those of
// this package, the tolerance is the file's own). The coarsest quantities of
// it, corner temperature and wall heat, carry its half-cell at the wall.
func TestReferenceCases(t *testing.T) {
	f := readCases(t)
	for _, c := range f.Cases {
		got, err := c.Compute()
		if err != nil {
			t.Fatal(err)
		}
		tol := map[string]float64{
			"floor_mean_C": f.Tolerance.Mean, "floor_max_C": f.Tolerance.Max, "strip_max_C": f.Tolerance.Max,
			"under_strip_mean_C": 0.05, "diffuser_C": 0.05, "floor_min_C": 0.25, "strip_rise_over_floor_K": 1e-9,
			"h_back": 0.002, "h_gap": 0.002, "h_diffuser": 0.002, "h_wall_total": 0.005,
			"q_back_W": 0.05, "q_wall_W": 0.05, "q_front_W": 0.05, "balance_W": 1e-5,
		}
		for k, v := range c.Result {
			want, ok := v.(float64)
			if _, known := tol[k]; !ok || !known {
				continue
			}
			near(t, c.ID+" "+k, got[k], want, tol[k])
			delete(tol, k)
		}
		if len(tol) > 0 {
			t.Errorf("%s: keys without a stored result: %v", c.ID, tol)
		}
	}
}

// Halving every cell moves the answer by less than the grid's stated error.
func TestGridConverged(t *testing.T) {
	g := rand.New(rand.NewPCG(3, 9))
	trays := []Input{}
	for _, c := range readCases(t).Cases {
		trays = append(trays, c.Input())
	}
	for range 6 {
		trays = append(trays, randomTray(g))
	}
	for _, in := range trays {
		a, _, err := Solve2D(&in)
		if err != nil {
			continue
		}
		b, _, err := solveGrid(&in, 2)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "mean", a.FloorMean, b.FloorMean, a.MeanError)
		near(t, "max", a.FloorMax, b.FloorMax, a.MaxError)
	}
}

func TestSeriesOnReferenceTrays(t *testing.T) {
	for _, c := range readCases(t).Cases {
		in := c.Input()
		r, m, err := Solve2D(&in)
		if err != nil {
			t.Fatal(err)
		}
		if got := m.At(in.Length/2, in.Width/2); got < r.FloorMean || got > r.FloorMax {
			t.Errorf("%s: middle at %g K lies outside mean %g to max %g", c.ID, got, r.FloorMean, r.FloorMax)
		}
		s, err := Series(&in)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.ID+" series mean", s.FloorMean, r.FloorMean, s.MeanError)
		near(t, c.ID+" series max", s.FloorMax, r.FloorMax, s.MaxError)
	}
}

func BenchmarkNodeWithin2us(b *testing.B) {
	in := readCases(b).Cases[0].Input()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Node(&in); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSolve2D(b *testing.B) {
	in := readCases(b).Cases[0].Input()
	b.ReportAllocs()
	for b.Loop() {
		if _, _, err := Solve2D(&in); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSeriesWithin100us(b *testing.B) {
	in := readCases(b).Cases[0].Input()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Series(&in); err != nil {
			b.Fatal(err)
		}
	}
}
