package measure

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestBridge(t *testing.T) {
	a := []CheckReading{{"2026-01-05", 1020}, {"2026-02-05", 1021}, {"2026-03-05", 1019}, {"2026-04-05", 1000}}
	b := []CheckReading{{"2026-02-05", 1000}, {"2026-01-05", 1000}, {"2026-03-05", 1000}, {"2026-05-05", 1}}
	got, err := Bridge(a, b, 0)
	if err != nil {
		t.Fatal(err)
	}
	// By hand: ratios 1.020, 1.021, 1.019; their scatter is 0.001.
	if math.Abs(got.Factor-1.02) > 1e-5 || math.Abs(got.U-0.001/math.Sqrt(3)) > 1e-6 || got.Pairs != 3 {
		t.Errorf("three days in common: %+v", got)
	}
	one, err := Bridge(a[:1], b, 0.004)
	if err != nil || one.Pairs != 1 || math.Abs(one.U/one.Factor-0.004*math.Sqrt2) > 1e-12 {
		t.Errorf("one day: %+v, %v", one, err)
	}
	for _, bad := range [][2][]CheckReading{{nil, b}, {a, nil}, {{{"2026-01-05", 0}}, b}, {a, {{"2026-01-05", math.NaN()}}}, {{{"", 5}}, {{"", 5}}}} {
		if _, err := Bridge(bad[0], bad[1], 0); err == nil {
			t.Errorf("%v: accepted", bad)
		}
	}
}

// Turned round, the factor is the inverse.
func TestBridgeTurnedRound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "n")
		var a, b []CheckReading
		for i := range n {
			date := "2026-01-0" + string(rune('1'+i))
			a = append(a, CheckReading{date, rapid.Float64Range(1, 1e5).Draw(t, "a")})
			b = append(b, CheckReading{date, rapid.Float64Range(1, 1e5).Draw(t, "b")})
		}
		x, err1 := Bridge(a, b, 0)
		y, err2 := Bridge(b, a, 0)
		if err1 != nil || err2 != nil || math.Abs(x.Factor*y.Factor-1) > 1e-9 || math.Abs(x.U/x.Factor-y.U/y.Factor) > 1e-9 {
			t.Fatalf("%+v and %+v, %v, %v", x, y, err1, err2)
		}
	})
}
