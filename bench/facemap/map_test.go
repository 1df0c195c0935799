package facemap

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"dawnsmith/bench/measure"
	"dawnsmith/finding"
	"dawnsmith/lamp/optics"
	"dawnsmith/light/hazard"
)

// scene makes a picture: light(u, v) over a face of w × h pixels, 0 to 1 each
// way, in a margin of dark pixels, coded in steps of a 16-bit scale.
func scene(w, h, margin int, full, dark float64, light func(u, v float64) float64) *Picture {
	p := &Picture{Width: w + 2*margin, Height: h + 2*margin, Steps: 65535}
	p.Samples = make([]float32, p.Width*p.Height)
	for y := range p.Height {
		for x := range p.Width {
			s := dark
			if x >= margin && y >= margin && x < margin+w && y < margin+h {
				s += full * light((float64(x-margin)+0.5)/float64(w), (float64(y-margin)+0.5)/float64(h))
			}
			p.Samples[y*p.Width+x] = float32(math.Round(s*65535) / 65535)
		}
	}
	return p
}

func even(_, _ float64) float64 { return 1 }

func of(t *testing.T, p *Picture, o Options) *Map {
	t.Helper()
	m, err := Of(p, o)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s is %.6g, want %.6g ± %g", what, got, want, tol)
	}
}

// An even face of known size: everything is its one luminance, and the area its
// sides' product.
func TestEven(t *testing.T) {
	m := of(t, scene(380, 280, 60, 0.5, 0.01, even), Options{Reading: Reading{Luminance: 8000, U: 0.03}, Width: 0.38, Height: 0.28, Black: 0.01, Use: 0.6})
	near(t, "mean", m.Mean.X, 8000, 1e-6)
	near(t, "u of mean", m.Mean.U(), 240, 1e-6)
	near(t, "peak", m.Peak.X, 8000, 0.01)
	near(t, "least", m.Least.X, 8000, 0.01)
	near(t, "area", m.Area.X, 0.38*0.28, 1e-9)
	near(t, "ripple", m.RippleX.X, 0, 1e-4)
	near(t, "exposure", m.Exposure, 0.5, 2e-5)
	if len(m.Cones) != 4 {
		t.Fatalf("%d cones", len(m.Cones))
	}
	for _, c := range m.Cones {
		near(t, "cone", c.Mean.X, 8000, 1)
		near(t, "diameter", c.Diameter, c.Angle*c.Distance, 1e-12)
	}
	for _, key := range []string{"clipped", "exposure", "steps", "black", "flare", "coded", "outline", "aspect", "cut_off", "second", "unresolved", "size"} {
		if finding.Has(m.Findings, "facemap."+key) {
			t.Errorf("finding %s for a good picture", key)
		}
	}
	if !finding.Has(m.Findings, "facemap.colour") {
		t.Error("nothing is said of colour")
	}
}

// Rows across the face with a slow fall towards the rim: the contrast of the
// rows comes out along the direction they repeat in, and not the fall.
func TestRipple(t *testing.T) {
	for _, c := range []float64{0.01, 0.05, 0.2} {
		light := func(u, v float64) float64 {
			return (1 - 0.3*(2*u-1)*(2*u-1)) * (1 + c*math.Cos(2*math.Pi*9*v))
		}
		m := of(t, scene(400, 360, 30, 0.5, 0, light), Options{Reading: Reading{Luminance: 1000}})
		near(t, "ripple along y", m.RippleY.X, c, 0.03*c+2e-4)
		near(t, "ripple along x", m.RippleX.X, 0, 2e-3)
		// The mean of the parabola is 1 − 0.3/3 = 0.9, its top 1 + c.
		near(t, "peak over mean", m.PeakOverMean.X, (1+c)/0.9, 0.003)
	}
}

// A round spot of 21 mm three times as bright as the rest: a cone within it sees
// three times, one of 60 mm the mean over both.
func TestCones(t *testing.T) {
	const w, h = 0.38, 0.28
	light := func(u, v float64) float64 {
		if math.Hypot((u-0.4)*w, (v-0.6)*h) < 0.0105 {
			return 3
		}
		return 1
	}
	m := of(t, scene(760, 560, 40, 0.2, 0, light), Options{Reading: Reading{Luminance: 5000}, Width: w, Height: h, Use: 0.6, Blue: 8e-4})
	share := math.Pi * 0.0105 * 0.0105 / (w * h)
	base := 5000 / (1 + 2*share)
	want := map[float64]float64{0.0022: 3 * base, 0.0066: 3 * base, 0.020: 3 * base, 0.060: base * (1 + 2*0.35*0.35)}
	for _, c := range m.Cones {
		near(t, "cone", c.Mean.X, want[math.Round(c.Diameter*1e4)/1e4], 0.02*base)
		near(t, "blue", c.Blue.X, c.Mean.X*8e-4, 1e-9)
		if !c.Resolved {
			t.Errorf("a cone of %g m is not resolved", c.Diameter)
		}
	}
	near(t, "peak", m.Peak.X, 3*base, 0.01*base)
	if g, ok := m.BlueGroup(0.2); !ok || g != hazard.Exempt {
		t.Errorf("group %v %v: 15 000 cd/m² · 0.8 mW/lm are 12 W/(m²·sr), under 100", g, ok)
	}
	if _, ok := m.BlueGroup(0.4); ok {
		t.Error("a group where no cone is")
	}
	// 20 times as bright: 240 W/(m²·sr), over 100 and under 10⁴.
	m = of(t, scene(760, 560, 40, 0.2, 0, light), Options{Reading: Reading{Luminance: 100_000}, Width: w, Height: h, Blue: 8e-4})
	if g, ok := m.BlueGroup(0.2); !ok || g != hazard.RG1 {
		t.Errorf("group %v %v", g, ok)
	}
}

// A cone wider than the face averages the dark around it.
func TestConeBeyondFace(t *testing.T) {
	g := &grid{w: 100, h: 100, v: make([]float64, 10000)}
	for i := range g.v {
		g.v[i] = 1
	}
	for _, d := range []float64{0.05, 0.3, 0.9, 2, 4} {
		got, ok := g.disc(d, 0.01, 0.01)
		want := 1.0
		if d > 1 {
			want = 4 / math.Pi / d / d // 1 m² over the disc, where it holds the face
		}
		if d > 1 && d < math.Sqrt2 {
			continue
		}
		if !ok {
			t.Errorf("disc of %g m is not resolved", d)
		}
		near(t, "disc", got, want, 0.02*want)
	}
	if _, ok := g.disc(0.009, 0.01, 0.01); ok {
		t.Error("a disc smaller than a cell is resolved")
	}
}

// Lux before an even face tell the luminance that optics has in closed form.
func TestLux(t *testing.T) {
	for _, d := range []float64{0.15, 0.4, 2} {
		const lum = 7321.0
		e := optics.OnAxis(lum, 0.38, 0.28, d)
		m := of(t, scene(380, 280, 20, 0.4, 0, even), Options{Reading: Reading{Lux: e, Distance: d}, Width: 0.38, Height: 0.28})
		near(t, "luminance", m.Mean.X, lum, 1e-4*lum)
		m = of(t, scene(380, 280, 20, 0.4, 0, even), Options{Reading: Reading{Lux: e, Distance: d}, PerPixel: 0.001})
		near(t, "luminance by pixels", m.Mean.X, lum, 1e-4*lum)
		// Far away E falls as 1/d²: 5 mm of 2 m are 0.5 % of L.
		if d == 2 {
			near(t, "u", m.Mean.U()/lum, math.Sqrt(0.05*0.05+0.005*0.005+0.01*0.01), 2e-4)
		}
	}
}

// Seen from the side and turned, with its corners the face is as it is squarely.
func TestCorners(t *testing.T) {
	light := func(u, v float64) float64 { return 0.6 + 0.3*u + 0.1*math.Cos(2*math.Pi*5*v) }
	// The face in the picture: a projective map of its square.
	a, b, c, d, e, f, gg, hh := 300.0, -60.0, 120.0, 40.0, 260.0, 60.0, -0.15, 0.1
	place := func(u, v float64) Point {
		z := gg*u + hh*v + 1
		return Point{(a*u + b*v + c) / z, (d*u + e*v + f) / z}
	}
	corners := [4]Point{place(0, 0), place(1, 0), place(1, 1), place(0, 1)}
	p := &Picture{Width: 560, Height: 480, Steps: 65535, Samples: make([]float32, 560*480)}
	for y := range p.Height {
		for x := range p.Width {
			// The inverse map at the pixel's middle.
			X, Y := float64(x)+0.5, float64(y)+0.5
			m11, m12, m21, m22 := a-gg*X, b-hh*X, d-gg*Y, e-hh*Y
			det := m11*m22 - m12*m21
			u, v := (m22*(X-c)-m12*(Y-f))/det, (-m21*(X-c)+m11*(Y-f))/det
			if u >= -0.01 && u <= 1.01 && v >= -0.01 && v <= 1.01 {
				p.Samples[y*p.Width+x] = float32(0.6 * light(u, v))
			}
		}
	}
	m := of(t, p, Options{Reading: Reading{Luminance: 3000}, Width: 0.4, Height: 0.3, Corners: &corners})
	near(t, "area", m.Area.X, 0.12, 1e-9)
	near(t, "peak over mean", m.PeakOverMean.X, (0.6+0.3+0.1)/0.75, 0.01)
	near(t, "least over mean", m.LeastOverMean.X, (0.6-0.1)/0.75, 0.02)
	near(t, "ripple along y", m.RippleY.X, 0.1/0.75, 0.006)
	rows, cols := len(m.Values), len(m.Values[0])
	near(t, "left", m.Values[rows/2][2], 3000*light(2.5/float64(cols), 0.5+0.5/float64(rows))/0.75, 30)
	near(t, "right", m.Values[rows/4][cols-3], 3000*light(1-2.5/float64(cols), (float64(rows/4)+0.5)/float64(rows))/0.75, 30)
	if !finding.Has(m.Findings, "facemap.tilt") {
		t.Error("nothing is said of the tilt")
	}
	// Without corners the outline is said to be doubtful.
	if m := of(t, p, Options{Reading: Reading{Luminance: 3000}}); !finding.Has(m.Findings, "facemap.outline") {
		t.Error("nothing is said of the outline")
	}
}

// What limits a picture is said.
func TestFindings(t *testing.T) {
	size := Options{Reading: Reading{Luminance: 3000}, Width: 0.4, Height: 0.3, Black: 0.001}
	two := scene(400, 300, 60, 0.5, 0.001, even)
	for y := 5; y < 45; y++ {
		for x := 5; x < 500; x++ {
			two.Samples[y*two.Width+x] = 0.4
		}
	}
	hot := scene(400, 300, 60, 0.5, 0.001, even)
	hot.Clipped = make([]bool, len(hot.Samples))
	hot.Clipped[200*hot.Width+200] = true
	coded := scene(400, 300, 60, 0.5, 0.001, even)
	coded.Coded, coded.Steps, coded.Colour = true, 255, true
	turned := size
	turned.Width, turned.Height = 0.3, 0.4
	noBlack := size
	noBlack.Black = 0
	bare := Options{Reading: Reading{Luminance: 3000}}
	for key, c := range map[string]struct {
		p *Picture
		o Options
	}{
		"clipped": {hot, size}, "exposure": {scene(400, 300, 60, 0.03, 0.001, even), size}, "black": {scene(400, 300, 60, 0.5, 0, even), noBlack},
		"flare": {scene(400, 300, 60, 0.4, 0.05, even), size}, "coded": {coded, size}, "colour": {coded, size}, "aspect": {scene(400, 300, 60, 0.5, 0.001, even), turned},
		"second": {two, size}, "cut_off": {scene(400, 300, 0, 0.5, 0.001, even), size}, "falloff": {scene(400, 300, 1, 0.5, 0.001, even), size},
		"unresolved": {scene(80, 60, 30, 0.5, 0.001, even), size}, "size": {scene(400, 300, 60, 0.5, 0.001, even), bare},
	} {
		if m := of(t, c.p, c.o); !finding.Has(m.Findings, "facemap."+key) {
			t.Errorf("no finding %s: %v", key, m.Findings)
		}
	}
	steps := scene(400, 300, 60, 0.1, 0, even)
	steps.Steps = 255
	if m := of(t, steps, size); !finding.Has(m.Findings, "facemap.steps") {
		t.Error("nothing is said of too few steps")
	}
	// A coded picture leaves ratios four times as uncertain as a linear one.
	slope := func(u, _ float64) float64 { return 0.5 + 0.5*u }
	lin, cod := scene(400, 300, 200, 0.5, 0, slope), scene(400, 300, 200, 0.5, 0, slope)
	cod.Coded = true
	a, b := of(t, lin, size), of(t, cod, size)
	near(t, "same ratio", a.PeakOverMean.X, b.PeakOverMean.X, 1e-9)
	if !(b.PeakOverMean.U() > 1.5*a.PeakOverMean.U()) {
		t.Errorf("coded %v, linear %v", b.PeakOverMean, a.PeakOverMean)
	}
}

// A hot pixel beside the face and a dark speck on it change nothing of note.
func TestSpecks(t *testing.T) {
	p := scene(400, 300, 60, 0.3, 0, even)
	p.Samples[10*p.Width+10] = 0.9
	for y := 200; y < 204; y++ {
		for x := 200; x < 204; x++ {
			p.Samples[y*p.Width+x] = 0.01
		}
	}
	m := of(t, p, Options{Reading: Reading{Luminance: 1000}, Width: 0.4, Height: 0.3})
	near(t, "area", m.Area.X, 0.12, 1e-9)
	if !(m.LeastOverMean.X < 0.1) {
		t.Errorf("the speck is a part of the face: least %v", m.LeastOverMean)
	}
}

// What makes no sense is refused, with the field.
func TestRefused(t *testing.T) {
	good := scene(60, 60, 20, 0.5, 0, even)
	nan := scene(60, 60, 20, 0.5, 0, even)
	nan.Samples[7] = float32(math.NaN())
	short := scene(60, 60, 20, 0.5, 0, even)
	short.Samples = short.Samples[1:]
	read := Reading{Luminance: 1000}
	for _, c := range []struct {
		field string
		p     *Picture
		o     Options
	}{
		{"picture", nan, Options{Reading: read}},
		{"picture", short, Options{Reading: read}},
		{"picture", &Picture{Width: 1 << 20, Height: 1 << 20, Steps: 1}, Options{Reading: read}},
		{"picture", scene(60, 60, 20, 0, 0, even), Options{Reading: read}},
		{"picture", scene(6, 6, 20, 0.5, 0, even), Options{Reading: read}},
		{"picture.steps", &Picture{Width: 1, Height: 1, Samples: []float32{0}}, Options{Reading: read}},
		{"reading", good, Options{}},
		{"reading", good, Options{Reading: Reading{Luminance: 1, Lux: 1, Distance: 1}}},
		{"reading.u", good, Options{Reading: Reading{Luminance: 1, U: math.NaN()}}},
		{"reading.luminance", good, Options{Reading: Reading{Luminance: math.Inf(1)}}},
		{"reading.distance", good, Options{Reading: Reading{Lux: 1}, Width: 1, Height: 1}},
		{"size", good, Options{Reading: Reading{Lux: 1, Distance: 1}}},
		{"size", good, Options{Reading: read, Width: 0.3}},
		{"width", good, Options{Reading: read, Width: 300, Height: 200}},
		{"per_pixel", good, Options{Reading: read, Width: 0.3, Height: 0.3, PerPixel: 0.01}},
		{"black", good, Options{Reading: read, Black: 0.9}},
		{"threshold", good, Options{Reading: read, Threshold: 1.5}},
		{"use", good, Options{Reading: read, Use: math.NaN()}},
		{"corners", good, Options{Reading: read, Corners: &[4]Point{{20, 20}, {20, 80}, {80, 80}, {80, 20}}}},
		{"corners", good, Options{Reading: read, Corners: &[4]Point{{20, 20}, {900, 20}, {80, 80}, {20, 80}}}},
		{"corners", good, Options{Reading: read, Corners: &[4]Point{{20, 20}, {28, 20}, {28, 28}, {20, 28}}}},
		{"corners", good, Options{Reading: read, Corners: &[4]Point{{math.NaN(), 20}, {80, 20}, {80, 80}, {20, 80}}}},
	} {
		_, err := Of(c.p, c.o)
		var bad *measure.InputError
		if !errors.As(err, &bad) || bad.Field != c.field {
			t.Errorf("%s: %v", c.field, err)
		} else if strings.Contains(err.Error(), "%!") {
			t.Errorf("%v", err)
		}
	}
}

// A face of waves, at any exposure and black level: the map keeps the ratios,
// the mean is the reading, and nothing is brighter than the peak.
func TestRecovered(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(60, 260).Draw(t, "w"), rapid.IntRange(60, 260).Draw(t, "h")
		a, b := rapid.Float64Range(0, 0.2).Draw(t, "a"), rapid.Float64Range(0, 0.2).Draw(t, "b")
		nx, ny := rapid.IntRange(1, 4).Draw(t, "nx"), rapid.IntRange(1, 4).Draw(t, "ny")
		full, dark := rapid.Float64Range(0.1, 0.6).Draw(t, "full"), rapid.Float64Range(0, 0.05).Draw(t, "dark")
		lum := rapid.Float64Range(100, 50_000).Draw(t, "cd/m²")
		light := func(u, v float64) float64 {
			return 1 + a*math.Cos(2*math.Pi*float64(nx)*u) + b*math.Cos(2*math.Pi*float64(ny)*v)
		}
		p := scene(w, h, 15, full, dark, light)
		o := Options{Reading: Reading{Luminance: lum}, Width: float64(w) / 1000, Height: float64(h) / 1000, Black: dark, Use: 0.5}
		m, err := Of(p, o)
		if err != nil {
			t.Fatal(err)
		}
		tol := 0.01 + 4./65535/full
		check := func(what string, got, want, tol float64) {
			if !(math.Abs(got-want) <= tol) {
				t.Fatalf("%s is %g, want %g ± %g", what, got, want, tol)
			}
		}
		check("mean", m.Mean.X/lum, 1, 1e-9)
		check("area", m.Area.X, o.Width*o.Height, 1e-9)
		check("peak", m.PeakOverMean.X, 1+a+b, tol)
		check("least", m.LeastOverMean.X, 1-a-b, tol+0.02)
		sum, n := 0.0, 0
		for j, row := range m.Values {
			for i, v := range row {
				sum, n = sum+v, n+1
				check("cell", v/lum, light((float64(i)+0.5)/float64(len(row)), (float64(j)+0.5)/float64(len(m.Values))), tol)
			}
		}
		check("mean of the map", sum/float64(n)/lum, 1, 1e-4)
		for _, c := range m.Cones {
			if c.Mean.X > m.Peak.X*(1+tol) || !(c.Mean.X > 0) || !c.Mean.Finite() {
				t.Fatalf("cone %v over peak %v", c.Mean, m.Peak)
			}
		}
		// Turned by a quarter, the ripples change places.
		q := &Picture{Width: p.Height, Height: p.Width, Steps: p.Steps, Samples: make([]float32, len(p.Samples))}
		for y := range p.Height {
			for x := range p.Width {
				q.Samples[x*q.Width+y] = p.Samples[y*p.Width+x]
			}
		}
		o.Width, o.Height = o.Height, o.Width
		k, err := Of(q, o)
		if err != nil {
			t.Fatal(err)
		}
		check("ripple turned", k.RippleX.X, m.RippleY.X, 1e-9)
		check("ripple turned", k.RippleY.X, m.RippleX.X, 1e-9)
	})
}

// Twice as many pixels than a map has cells change no ratio.
func TestBinned(t *testing.T) {
	light := func(u, v float64) float64 { return 0.8 + 0.2*math.Cos(2*math.Pi*3*u)*math.Cos(2*math.Pi*2*v) }
	p := scene(600, 400, 50, 0.5, 0, light)
	for _, k := range []int{1, 2, 5} {
		g := binBy(p, 0, k)
		r, ok := g.find(0.25)
		if !ok {
			t.Fatal("no face")
		}
		near(t, "area", float64(r.cells*k*k), 600*400, 1)
		high, _, _, _, ok := g.crop(r.x0, r.y0, r.x1, r.y1).patches()
		if !ok {
			t.Fatal("no patch")
		}
		near(t, "peak", high, 0.5, 0.003)
	}
	if g := bin(&Picture{Width: 3000, Height: 2000, Samples: make([]float32, 6_000_000), Steps: 1}, 0); g.w*g.h > gridCells {
		t.Errorf("%d cells", g.w*g.h)
	}
}

func BenchmarkOf(b *testing.B) {
	light := func(u, v float64) float64 { return 1 + 0.1*math.Cos(60*u) }
	p := scene(5000, 3600, 200, 0.5, 0.01, light)
	for b.Loop() {
		if _, err := Of(p, Options{Reading: Reading{Luminance: 8000}, Width: 0.38, Height: 0.28, Use: 0.6}); err != nil {
			b.Fatal(err)
		}
	}
}
