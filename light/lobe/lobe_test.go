package lobe

import (
	"math"
	"testing"
)

// The intensity at half the width is a half, and FWHM undoes Sigma.
func TestWidth(t *testing.T) {
	for deg := 5.0; deg < 119.5; deg += 0.5 {
		w := deg * math.Pi / 180
		s := Sigma(w)
		sin, cos := math.Sincos(w / 2)
		if half := cos * math.Exp(-sin*sin/(2*s*s)); math.Abs(half-0.5) > 1e-9 {
			t.Errorf("%v°: intensity %v at half the width", deg, half)
		}
		if back := FWHM(s); math.Abs(back-w) > 1e-9 {
			t.Errorf("%v° comes back as %v°", deg, back*180/math.Pi)
		}
	}
	if Sigma(2*math.Pi/3) != MaxSigma {
		t.Error("120° is not endless")
	}
}
