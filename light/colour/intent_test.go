package colour

import "testing"

func TestIntent(t *testing.T) {
	for _, c := range []struct {
		name string
		f    Fidelity
		want Intent
	}{
		{"true", fidelity(96, 100, 0, 97), Intent{1, 3, 1}},
		{"nearly true", fidelity(92, 99, -0.02, 91), Intent{2, 0, 2}},
		{"red is off", fidelity(92, 99, -0.02, 84), Intent{2, 0, 0}},
		{"common white LED", fidelity(83, 95, -0.13, 75), Intent{0, 0, 0}},
		{"strong", fidelity(72, 119, 0.2, 70), Intent{3, 1, 0}},
		{"on the edge", fidelity(78, 95, -0.01, 80), Intent{1, 0, 0}},
		{"no result", Fidelity{}, Intent{}},
	} {
		if got := c.f.Intent(); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

func fidelity(rf, rg, red, redFidelity float64) Fidelity {
	f := Fidelity{Rf: rf, Rg: rg, Valid: true}
	f.RcsBin[0], f.RfBin[0] = red, redFidelity
	return f
}
