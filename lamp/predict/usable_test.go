package predict

import (
	"math"
	"strings"
	"testing"

	"dawnsmith/lamp/optics"
)

// Inside the region there is enough, just outside there is not; at the lamp's
// own place the light is that of the prediction.
func TestUsable(t *testing.T) {
	r := work(t, testSpec())
	p := r.Lamp.Spec.Place
	e, err := r.EyeElsewhere(p.Ahead(), 0, p.LampAside)
	if err != nil || math.Abs(e/r.Numbers[EyeLux]-1) > 1e-6 {
		t.Errorf("at its own place %v lx, predicted %v lx: %v", e, r.Numbers[EyeLux], err)
	}
	for name, c := range map[string]struct {
		find func(target, far float64) (Reach, error)
		up   bool
	}{"heights": {r.UsableHeights, true}, "sides": {r.UsableSides, false}} {
		u, err := c.find(SessionEDI, 1.5)
		if err != nil {
			t.Fatal(err)
		}
		edi := func(d, across float64) float64 {
			above, aside := across, 0.0
			if !c.up {
				above, aside = 0, across
			}
			e, err := r.EyeElsewhere(d, above, aside)
			if err != nil {
				t.Fatal(err)
			}
			return e * r.Numbers[DER]
		}
		some := 0
		for k, d := range u.Ahead {
			if math.IsNaN(u.To[k]) {
				if edi(d, 0) >= SessionEDI {
					t.Errorf("%s: enough at %.2f m and not said", name, d)
				}
				continue
			}
			some++
			for _, y := range []float64{u.From[k], u.To[k]} {
				if edi(d, y) < SessionEDI {
					t.Errorf("%s: %.2f m ahead, %.2f m across: too little inside", name, d, y)
				}
				if beyond := y + math.Copysign(0.03, y); math.Abs(y) < 1.2 && edi(d, beyond) >= SessionEDI {
					t.Errorf("%s: %.2f m ahead, %.2f m across: enough outside", name, d, beyond)
				}
			}
		}
		if some < 3 {
			t.Errorf("%s: enough at %d distances only", name, some)
		}
	}
	if _, err := (&Result{}).EyeElsewhere(1, 0, 0); err == nil {
		t.Error("a lamp without a map was read")
	}
}

// At the distances found the light is what they stand for; twice the doubt of
// light makes the more doubt of distance the slower light falls.
func TestDistances(t *testing.T) {
	r := work(t, testSpec())
	for key, want := range map[string]float64{optics.KeyDayLight: SessionEDI / r.Numbers[DER], optics.KeySessionLight: SessionLux} {
		d := r.Numbers[key]
		if d == 0 {
			t.Errorf("%s is missing", key)
			continue
		}
		_, e, err := r.EyeAt(d)
		if err != nil || math.Abs(e/want-1) > 3e-4 {
			t.Errorf("%s: %v lx at %.3f m, want %v: %v", key, e, d, want, err)
		}
	}
	u, err := Spread(r.Lamp)
	if err != nil {
		t.Fatal(err)
	}
	// Far off E falls as 1/d²: half the light's relative doubt. Near the face
	// it falls less, and the distance is worth more doubt.
	rel := func(key string) float64 { return u.Values[key].U() / u.Values[key].X }
	if light, d := rel(FaceMean), rel(optics.KeySessionLight); !(d > light/2) {
		t.Errorf("10 000 lx: relative doubt %.4f of the distance, %.4f of the light", d, light)
	}
	if d := rel(optics.KeyDayLight); !(d > rel(FaceMean)/2 && d < rel(FaceMean)) {
		t.Errorf("250 lx: relative doubt %.4f of the distance, %.4f of the light", d, rel(FaceMean))
	}
	if u.Values[optics.KeyFarField].U() != 0 {
		t.Error("the far field is geometry and has no doubt")
	}
}

// A bright face near by is outside the range of UGR and says so; a dim one is
// not judged by DGP and says why.
func TestRanges(t *testing.T) {
	r := work(t, testSpec())
	if why := r.Ranges()[optics.KeyUGR]; !strings.Contains(why, "compare faces of one size only") || r.Numbers[optics.KeyUGR] == 0 {
		t.Errorf("UGR %v of %v sr: %q", r.Numbers[optics.KeyUGR], r.Numbers[optics.KeySolidAngle], why)
	}
	if _, out := r.Ranges()[optics.KeyDGP]; out || r.Numbers[optics.KeyDGP] == 0 {
		t.Errorf("DGP %v at %v lx: %v", r.Numbers[optics.KeyDGP], r.Numbers[EyeLux], r.Ranges())
	}
	s := testSpec()
	s.Place.EyeDistance, s.Place.LampAboveEye, s.Place.Surround = 3, 0.5, 1
	far := work(t, s)
	if _, given := far.Numbers[optics.KeyDGP]; far.Numbers[EyeLux]+math.Pi > optics.DGPLeast || given || !strings.Contains(far.Ranges()[optics.KeyDGP], "not given") {
		t.Errorf("far off at %v lx: %v", far.Numbers[EyeLux], far.Ranges())
	}
	if _, out := far.Ranges()[optics.KeyUGR]; out || far.Numbers[optics.KeyUGR] == 0 {
		t.Errorf("far off with %v sr: %v", far.Numbers[optics.KeySolidAngle], far.Ranges())
	}
}
