package optics

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// The mount of the traced eye point.
func TestMount(t *testing.T) {
	e := Mount{Height: 0.3, Distance: 0.55, Offset: 0.06, Tilt: 10 * degree}.Eye(0)
	for _, v := range [][2]float64{{e.Position.X, 0.06}, {e.Position.Y, -0.1999358281868507}, {e.Position.Z, 0.5937387174567934},
		{e.Normal.X, 0}, {e.Normal.Y, -0.17364817766693033}, {e.Normal.Z, -0.984807753012208}} {
		near(t, "traced eye", v[0], v[1], 1e-12)
	}
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.Float64Range
		m := Mount{f(-0.5, 0.8).Draw(t, "h"), f(0.2, 2).Draw(t, "d"), f(-0.5, 0.5).Draw(t, "o"), f(-0.5, 0.9).Draw(t, "t")}
		g := f(-0.7, 0.7).Draw(t, "g")
		e := m.Eye(g)
		near(t, "distance", e.Position.norm(), math.Sqrt(m.Height*m.Height+m.Distance*m.Distance+m.Offset*m.Offset), 1e-12)
		near(t, "gaze", e.Normal.norm(), 1, 1e-12)
		near(t, "up", e.Normal.dot(e.Up), 0, 1e-12)
		// Eccentricity by world coordinates: gaze (0, sin g, −cos g), lamp at (−o, h, −d).
		want := math.Acos(min(1, (m.Height*math.Sin(g)+m.Distance*math.Cos(g))/e.Position.norm()))
		near(t, "eccentricity", m.Eccentricity(g), want, 1e-6)
		near(t, "meter faces the lamp", m.Meter().Normal.cross(e.Position).norm(), 0, 1e-12)
	})
}

// 0.38 × 0.28 m at 0.305 m: 4q = 0.26187, by hand from the closed form.
func TestOnAxis(t *testing.T) {
	near(t, "4q", OnAxis(1/math.Pi, 0.38, 0.28, 0.305), 0.26187, 5e-6)
	off(t, "contour", FaceIlluminance(1000, 0.38, 0.28, onAxis(0.305)), OnAxis(1000, 0.38, 0.28, 0.305), 1e-12)
	// Lux per lumen on axis, and testers' lux per area against exitance.
	off(t, "lx per lm", OnAxis(1/(math.Pi*0.38*0.28), 0.38, 0.28, 0.305), 2.461, 3e-4)
	// The uniform face of a design's brief: 600 × 400 mm, 12000 cd/m², 0.55 m.
	off(t, "brief", OnAxis(12000, 0.6, 0.4, 0.55), 7400, 0.01)
}

// Any pose: contour integral against a fine patch sum, horizon and brow cut.
func TestContour(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.Float64Range
		m := Mount{f(-0.3, 0.6).Draw(t, "h"), f(0.25, 1.5).Draw(t, "d"), f(-0.3, 0.3).Draw(t, "o"), f(-0.3, 0.8).Draw(t, "t")}
		tg := m.Eye(f(-0.5, 0.5).Draw(t, "g"))
		if tg.Position.Z < 0.15 {
			t.Skip()
		}
		if rapid.Bool().Draw(t, "view") {
			tg.View = &View{Up: f(0.1, 1.5).Draw(t, "up"), Down: f(0.1, 1.5).Draw(t, "down")}
		}
		const l, w, n = 0.4, 0.3, 160
		sum := 0.0
		for i := range n {
			for j := range n {
				p := Vec{(float64(i)+turnOf(j))/n*l - l/2, (float64(j)+turnOf(i))/n*w - w/2, 0}
				v := tg.Position.sub(p)
				to := v.times(-1)
				if to.dot(tg.Normal) <= 0 {
					continue
				}
				if tg.View != nil {
					// Elevation in the vertical plane of the gaze.
					e := math.Atan2(to.dot(tg.Up), to.dot(tg.Normal))
					if e > tg.View.Up || e < -tg.View.Down {
						continue
					}
				}
				r2 := v.dot(v)
				sum += l * w / n / n * v.Z * -v.dot(tg.Normal) / (r2 * r2)
			}
		}
		near(t, "lx per cd/m²", FaceIlluminance(1, l, w, tg), sum, 2e-4+3e-3*sum)
	})
}

// A wide view cuts nothing, a narrower one never gains, no view above a lamp
// that hangs wholly over the brow leaves nothing.
func TestBrow(t *testing.T) {
	m := Mount{Height: 0.5, Distance: 0.4, Tilt: 40 * degree}
	tg := m.Eye(0)
	whole := FaceIlluminance(1000, 0.3, 0.2, tg)
	last := 0.0
	for up := 20.0; up <= 90; up += 5 {
		tg.View = &View{Up: up * degree, Down: 70 * degree}
		e := FaceIlluminance(1000, 0.3, 0.2, tg)
		if e < last-1e-12 {
			t.Errorf("%g°: falls", up)
		}
		last = e
	}
	near(t, "90°", last, whole, 1e-9)
	tg.View = &View{Up: 20 * degree, Down: 70 * degree}
	near(t, "20°", FaceIlluminance(1000, 0.3, 0.2, tg), 0, 1e-12)
	near(t, "elevation", m.Elevation(0)/degree, 51.34, 0.01)
	// Seen from behind.
	near(t, "behind", FaceIlluminance(1000, 0.3, 0.2, Target{Position: Vec{0, 0, -1}, Normal: Vec{0, 0, 1}}), 0, 0)
}

// How much too high the inverse square law reads, by distance over the
// longest side of a 380 × 280 mm face.
func TestFarFieldError(t *testing.T) {
	for ratio, want := range map[float64]float64{0.5: 0.99, 0.8: 0.39, 1: 0.25, 1.5: 0.11, 2: 0.06, 3: 0.03, 5: 0.01} {
		near(t, "too high", FarFieldError(0.38, 0.28, ratio*0.38), want, 0.006)
	}
}

func TestDistanceFor(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, w := rapid.Float64Range(0.1, 1).Draw(t, "l"), rapid.Float64Range(0.1, 1).Draw(t, "w")
		lum := rapid.Float64Range(500, 3e4).Draw(t, "lum")
		lux := rapid.Float64Range(0.001, 0.999).Draw(t, "share") * math.Pi * lum
		d, err := DistanceFor(lux, lum, l, w)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "lux", OnAxis(lum, l, w, d), lux, 1e-6*lux)
	})
	var in *InputError
	for _, lux := range []float64{0, -1, 4000, math.NaN()} {
		if _, err := DistanceFor(lux, 1000, 0.3, 0.2); !errors.As(err, &in) {
			t.Errorf("%g lx: %v", lux, err)
		}
	}
}

func TestSolidAngle(t *testing.T) {
	// A face close up fills the half space; far away it is area over d².
	off(t, "close", SolidAngle(1, 1, Vec{0, 0, 1e-4}), 2*math.Pi, 1e-3)
	off(t, "far", SolidAngle(0.3, 0.2, Vec{0, 0, 50}), 0.06/2500, 1e-4)
	// A 0.1 m² face at 0.6 m is about a quarter of a steradian.
	near(t, "desk", SolidAngle(0.38, 0.28, Vec{0, 0, 0.6}), 0.25, 0.03)
}

func TestTargetRefused(t *testing.T) {
	view := StandardView()
	for name, tg := range map[string]Target{
		"behind":    {Position: Vec{0, 0, -0.1}, Normal: Vec{0, 0, 1}},
		"no normal": {Position: Vec{0, 0, 1}},
		"NaN":       {Position: Vec{math.NaN(), 0, 1}, Normal: Vec{0, 0, -1}},
		"no up":     {Position: Vec{0, 0, 1}, Normal: Vec{0, 0, -1}, View: &view},
	} {
		if tg.Validate() == nil {
			t.Errorf("%s: taken", name)
		}
	}
}

// The far field's distance solves FarFieldError; far off that goes as
// (l² + w²)/(6 d²), since 1/E ≈ d²(1 + (l² + w²)/(6 d²))/(L l w).
func TestFarFieldFrom(t *testing.T) {
	for _, c := range [][2]float64{{0.38, 0.28}, {0.6, 0.1}, {0.05, 0.05}} {
		for _, share := range []float64{0.001, 0.05, 0.5} {
			d := FarFieldFrom(c[0], c[1], share)
			if e := FarFieldError(c[0], c[1], d); math.Abs(e/share-1) > 1e-6 {
				t.Errorf("%v: error %v at %v m, want %v", c, e, d, share)
			}
		}
		if d, far := FarFieldFrom(c[0], c[1], 1e-4), math.Hypot(c[0], c[1])/math.Sqrt(6e-4); math.Abs(d/far-1) > 1e-3 {
			t.Errorf("%v: %v m far off, want %v", c, d, far)
		}
	}
}
