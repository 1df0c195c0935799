package optics

import (
	"math"
	"slices"
	"testing"

	"dawnsmith/finding"
)

// Guth's index is 1 on the line of sight and grows off it, faster upwards
// than sideways at the same angle would hide less.
func TestGuthIndex(t *testing.T) {
	near(t, "in sight", GuthIndex(0, 0), 1, 1e-12)
	// By hand at σ = 30°: τ = 0: (35.2 − 1.22)·0.03 + 21·0.009 = 1.2084;
	// τ = 90°: (35.2 − 28.7001)·0.03 + (21 + 24.0003 − 24.0003)·0.009 = 0.383997.
	near(t, "30° up", GuthIndex(30*degree, 0), math.Exp(1.2084), 1e-3)
	near(t, "30° aside", GuthIndex(30*degree, 90*degree), math.Exp(0.383997), 1e-3)
	near(t, "cap", GuthIndex(2, 0), 16, 0)
	last := 0.0
	for s := 0.0; s < 90; s += 5 {
		p := GuthIndex(s*degree, 0.5)
		if p < last {
			t.Errorf("falls at %g°", s)
		}
		last = p
	}
}

func eyeAt(m Mount, view *View) Target {
	t := m.Eye(0)
	t.View = view
	return t
}

// A small even face: UGR from one term by hand.
func TestUGROfSmallFace(t *testing.T) {
	b := Box{Length: 0.05, Width: 0.04, Height: 0.01, Walls: SameWalls(Surface{1, 1}), Floor: Surface{0.8, 0}, Sheet: Sheet{T: 0.5, R: 0.4}}
	b.Rows = Grid(0.05, 0.04, 4, 0.01, 5, 0.01, Row{Flux: 2})
	r, err := Solve(b, Options{Detail: Draft, Cell: 1e-3})
	if err != nil {
		t.Fatal(err)
	}
	const background = 40
	m := Mount{Height: 0.4, Distance: 1.2, Tilt: math.Atan2(0.4, 1.2)}
	g, err := r.Glare(eyeAt(m, nil), background)
	if err != nil {
		t.Fatal(err)
	}
	d := math.Hypot(0.4, 1.2)
	omega := 0.05 * 0.04 / (d * d)
	p := GuthIndex(m.Elevation(0), 0)
	off(t, "ω", g.SolidAngle, omega, 2e-3)
	off(t, "mean", g.Mean, r.Face.Mean, 2e-3)
	near(t, "UGR", g.UGR, 8*math.Log10(0.25/background*r.Face.Mean*r.Face.Mean*omega/(p*p)), 0.02)
	if !g.UGRInRange {
		t.Errorf("ω = %g sr out of range", g.SolidAngle)
	}
}

// Half the luminance from double the area at equal light: UGR falls by
// 8·log₁₀2 = 2.4.
func TestUGRHalfLuminance(t *testing.T) {
	at := func(width float64) (Glare, float64) {
		b := Box{Length: 0.1, Width: width, Height: 0.02, Walls: SameWalls(Surface{1, 1}), Floor: Surface{0.8, 0}, Sheet: Sheet{T: 0.5, R: 0.4}}
		rows := int(math.Round(width / 0.02))
		b.Rows = Grid(0.1, width, rows, 0.02, 5, 0.02, Row{Flux: 100 / float64(rows)})
		r, err := Solve(b, Options{Detail: Draft, Cell: 2e-3})
		if err != nil {
			t.Fatal(err)
		}
		g, err := r.Glare(eyeAt(Mount{Height: 0.5, Distance: 4, Tilt: math.Atan2(0.5, 4)}, nil), 30)
		if err != nil {
			t.Fatal(err)
		}
		return g, r.Out
	}
	a, la := at(0.1)
	c, lc := at(0.2)
	off(t, "same light", lc, la, 0.01)
	near(t, "ΔUGR", a.UGR-c.UGR, 8*math.Log10(2), 0.15)
}

// A usual lamp near by is outside CIE 117's range; what the brow hides does
// not glare; DGP of nothing but background is its first term.
func TestGlareOfLamp(t *testing.T) {
	r, err := Solve(tracedBoxNamed(t, "D01"), Options{Detail: Draft, Cell: 0.01})
	if err != nil {
		t.Fatal(err)
	}
	view := StandardView()
	m := Mount{Height: 0.3, Distance: 0.55, Tilt: 10 * degree}
	free, err := r.Glare(eyeAt(m, nil), 50)
	if err != nil {
		t.Fatal(err)
	}
	if free.UGRInRange || !free.DGPInRange || free.DGP <= 0.16 {
		t.Errorf("%+v", free)
	}
	cut, _ := r.Glare(eyeAt(Mount{Height: 0.6, Distance: 0.5, Tilt: 40 * degree}, &view), 50)
	open, _ := r.Glare(eyeAt(Mount{Height: 0.6, Distance: 0.5, Tilt: 40 * degree}, nil), 50)
	if !(cut.SolidAngle < open.SolidAngle && cut.UGR < open.UGR && cut.Vertical < open.Vertical) {
		t.Errorf("cut %+v, open %+v", cut, open)
	}
	dark, _ := r.Glare(eyeAt(Mount{Height: 2, Distance: 0.2, Tilt: 60 * degree}, &view), 200)
	near(t, "DGP", dark.DGP, 0.16+5.87e-5*200*math.Pi, 1e-9)
	near(t, "UGR", dark.UGR, 0, 0)
	for _, bad := range []float64{0, math.NaN(), -3} {
		if _, err := r.Glare(eyeAt(m, nil), bad); err == nil {
			t.Errorf("background %g taken", bad)
		}
	}
}

// Twice the flux is the glare scaled by two; a second face as bright adds
// 8·log₁₀2 to UGR, twice the luminance 8·log₁₀4; a face that is not seen adds
// nothing; the order does not matter.
func TestGlareScaledAndTogether(t *testing.T) {
	b := tracedBoxNamed(t, "D01")
	m := Mount{Height: 0.3, Distance: 0.55, Tilt: 10 * degree}
	glare := func(b Box, m Mount) Glare {
		r, err := Solve(b, Options{Detail: Draft, Cell: 0.01})
		if err != nil {
			t.Fatal(err)
		}
		view := StandardView()
		g, err := r.Glare(eyeAt(m, &view), 50)
		if err != nil {
			t.Fatal(err)
		}
		return g
	}
	same := func(what string, a, b Glare) {
		t.Helper()
		near(t, what+": UGR", a.UGR, b.UGR, 1e-9)
		near(t, what+": DGP", a.DGP, b.DGP, 1e-9)
		off(t, what+": light", a.Vertical, b.Vertical, 1e-9)
		off(t, what+": mean", a.Mean, b.Mean, 1e-9)
	}
	g := glare(b, m)
	twice := b
	twice.Rows = slices.Clone(b.Rows)
	for i := range twice.Rows {
		twice.Rows[i].Flux *= 2
		twice.Rows[i].Fluxes = slices.Clone(b.Rows[i].Fluxes)
		for k := range twice.Rows[i].Fluxes {
			twice.Rows[i].Fluxes[k] *= 2
		}
	}
	same("twice the flux", glare(twice, m), g.Scaled(2))
	near(t, "UGR of twice the luminance", g.Scaled(2).UGR-g.UGR, 8*math.Log10(4), 1e-9)
	near(t, "UGR of two", g.And(g).UGR-g.UGR, 8*math.Log10(2), 1e-9)
	near(t, "ω of two", g.And(g).SolidAngle, 2*g.SolidAngle, 1e-12)
	unseen := glare(b, Mount{Height: 2, Distance: 0.2, Tilt: 60 * degree})
	same("with a face not seen", g.And(unseen), g)
	h := glare(b, Mount{Height: 0.1, Distance: 0.9})
	same("order", g.And(h), h.And(g))
}

func TestMountFindings(t *testing.T) {
	at := func(elevation float64) []finding.Finding {
		return Mount{Height: math.Sin(elevation * degree), Distance: math.Cos(elevation * degree)}.Findings(0, 5000, Surroundings{})
	}
	for e, want := range map[float64]string{20: "", 40: "note optics.high_lamp", 47: "warn optics.high_lamp", 55: "warn optics.behind_brow"} {
		got := ""
		if fs := at(e); len(fs) > 0 {
			got = fs[0].Severity.String() + " " + fs[0].Key
		}
		if got != want {
			t.Errorf("%g°: %q, want %q", e, got, want)
		}
	}
	quiet := Mount{Distance: 1}.Findings(0, 900, Surroundings{Screen: 400, Wall: 100})
	loud := Mount{Distance: 1}.Findings(0, 12000, Surroundings{Screen: 200, Wall: 50})
	if len(quiet) != 0 {
		t.Errorf("quiet: %v", quiet)
	}
	for _, k := range []string{"optics.contrast_screen", "optics.contrast_wall", "optics.check_blue_light"} {
		if !finding.Has(loud, k) {
			t.Errorf("%s missing", k)
		}
	}
}

func TestBoxFindings(t *testing.T) {
	good := tracedBoxNamed(t, "D01")
	if fs := good.Findings(); len(fs) != 0 {
		t.Errorf("%v", fs)
	}
	for key, change := range map[string]func(*Box){
		"optics.deep_box":     func(b *Box) { b.Height = 0.2 },
		"optics.unscattered":  func(b *Box) { b.Sheet.Through = 0.02 },
		"optics.led_at_wall":  func(b *Box) { b.Rows[0].Y = 0.001 },
		"optics.sparse_leds":  func(b *Box) { b.Rows = []Row{b.Rows[2], b.Rows[17]} },
		"optics.no_light_out": func(b *Box) { b.Sheet.T = 0 },
	} {
		b := tracedBoxNamed(t, "D01")
		change(&b)
		if fs := b.Findings(); !finding.Has(fs, key) {
			t.Errorf("%s missing in %v", key, fs)
		}
	}
}

// Inside the region the light is enough, outside it is not.
func TestUsable(t *testing.T) {
	r, err := Solve(tracedBoxNamed(t, "N01"), Options{Detail: Draft, Cell: 0.01})
	if err != nil {
		t.Fatal(err)
	}
	m := Mount{Height: 0.3, Distance: 0.5, Tilt: 15 * degree}
	at := func(d, o float64) float64 {
		q := m
		q.Distance, q.Offset = d, o
		e, err := r.Illuminance(q.Eye(0))
		if err != nil {
			t.Fatal(err)
		}
		return e
	}
	const lux = 2500
	reg, ok, err := r.Usable(m, 0, lux, nil)
	if err != nil || !ok {
		t.Fatal(ok, err)
	}
	off(t, "far edge", at(reg.Farthest, 0), lux, 0.01)
	off(t, "side edge", at(m.Distance, reg.Sideways), lux, 0.01)
	off(t, "here", reg.Lux, at(m.Distance, 0), 1e-9)
	if !(reg.Nearest < m.Distance && m.Distance < reg.Farthest) {
		t.Errorf("%+v", reg)
	}
	if _, ok, _ := r.Usable(m, 0, 1e5, nil); ok {
		t.Error("100000 lx found")
	}
}
