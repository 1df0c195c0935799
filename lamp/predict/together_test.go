package predict

import (
	"math"
	"strings"
	"testing"

	"dawnsmith/finding"
)

func spreadOf(t *testing.T, change func(aside *float64)) Uncertain {
	t.Helper()
	s := testSpec()
	change(&s.Place.LampAside)
	u, err := Spread(build(t, s))
	if err != nil {
		t.Fatal(err)
	}
	return u
}

// One lamp together is the prediction's own; two equal ones give twice the
// light with twice the doubt, since they share every error; the order does not
// matter; a shared doubt does not cancel.
func TestTogether(t *testing.T) {
	a := spreadOf(t, func(*float64) {})
	b := spreadOf(t, func(x *float64) { *x = 0.45 })
	sum := func(us ...Uncertain) Together {
		t.Helper()
		s, err := Sum(us...)
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	one := sum(a)
	if one.Eye.X != a.Numbers[EyeLux] || one.Melanopic.X != a.Numbers[EyeMelanopic] || one.Glare != a.glare || len(one.Findings) > 0 {
		t.Errorf("one lamp: %v lx, %v lx, %+v, %v", one.Eye, one.Melanopic, one.Glare, one.Findings)
	}
	close := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-9*math.Abs(want) {
			t.Errorf("%s is %v, want %v", what, got, want)
		}
	}
	two := sum(a, a)
	close("light of two", two.Eye.X, 2*one.Eye.X)
	close("doubt of two", two.Eye.U(), 2*one.Eye.U())
	close("melanopic light of two", two.Melanopic.X, 2*one.Melanopic.X)
	close("UGR of two", two.Glare.UGR, one.Glare.UGR+8*math.Log10(2))
	if !finding.Has(two.Findings, "together.one_place") {
		t.Errorf("two at one place: %v", two.Findings)
	}
	ab, ba := sum(a, b), sum(b, a)
	close("light in the other order", ab.Eye.X, ba.Eye.X)
	close("doubt in the other order", ab.Eye.U(), ba.Eye.U())
	close("UGR in the other order", ab.Glare.UGR, ba.Glare.UGR)
	close("DGP in the other order", ab.Glare.DGP, ba.Glare.DGP)
	close("light of both", ab.Eye.X, a.Numbers[EyeLux]+b.Numbers[EyeLux])
	if squares := math.Hypot(a.Values[EyeLux].U(), b.Values[EyeLux].U()); ab.Eye.U() < 1.2*squares {
		t.Errorf("doubt of two lamps of one strip %v lx, in squares %v lx", ab.Eye.U(), squares)
	}
	if finding.Has(ab.Findings, "together.one_place") {
		t.Errorf("0.45 m apart: %v", ab.Findings)
	}
}

func TestTogetherRefuses(t *testing.T) {
	a := Uncertain{Result: work(t, testSpec())}
	s := testSpec()
	s.Place.Gaze = 0.2
	up := Uncertain{Result: work(t, s)}
	if _, err := Sum(a, up); err == nil || !strings.Contains(err.Error(), "place.gaze") {
		t.Errorf("two gazes: %v", err)
	}
	if _, err := Sum(); err == nil {
		t.Error("no lamp taken")
	}
	if _, err := Sum(a, Uncertain{Result: Result{Lamp: a.Lamp}}); err == nil || !strings.Contains(err.Error(), "not worked out") {
		t.Errorf("a lamp without light: %v", err)
	}
}
