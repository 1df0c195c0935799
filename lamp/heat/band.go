package heat

import "math"

// band is the closed solution of a fin strip of half length a whose middle
// part, half length s, is heated, and whose ends lose heat through a
// conductance: what the floor looks like along one direction.
//
//	0 < x < s:  θ = (q/h)[1 - C cosh(m x)]
//	s < x < a:  θ = (q/h) D [cosh(m(a-x)) + g sinh(m(a-x))],  g = G/(k t m)
//
// with θ and its slope continuous at s, m = √(h/(k t)).
//
// Source: straight fin equation, Incropera & DeWitt, section 3.6, with a
// source term; solved here by hand.
type band struct {
	end    float64 // θ(a) over q/h
	centre float64 // θ(0) over q/h
	mean   float64 // mean θ over q/h
}

// newBand solves for the half lengths a and s (m), m (1/m), the surface
// coefficient h (W/(m²K)), k·t (W/K) and the end's conductance G (W/(m·K)).
func newBand(a, s, m, h, kt, end float64) band {
	g := end / (kt * m)
	d := max(a-s, 0)
	ed := math.Exp(m * d)
	ch, sh := (ed+1/ed)/2, (ed-1/ed)/2
	es := math.Exp(min(m*s, 300))
	coth := (es*es + 1) / (es*es - 1)
	sinhS := (es - 1/es) / 2
	u, v := ch+g*sh, sh+g*ch
	big := 1 / (u + coth*v)
	c := big * v / sinhS
	return band{end: big, centre: 1 - c, mean: s/a - end*big/(h*a)}
}

// periodic gives the highest and lowest rise of an endless row pattern over
// its mean: strips of width w at pitch p on a sheet with m = √(h/(k t)),
//
//	θ_max = (q/h)[1 - sinh(m b)/sinh(m p/2)],  θ_min = (q/h) sinh(m a)/sinh(m p/2)
//
// a = w/2, b = p/2 - a, mean (q/h) w/p.
//
// Source: the same fin equation between planes of symmetry.
func periodic(w, p, m float64) (highest, lowest float64) {
	a := w / 2
	b := p/2 - a
	if b <= 0 {
		return 1, 1
	}
	// Scaled by exp(m p/2) so that wide pitches do not overflow.
	k := math.Exp(-m * p)
	den := (1 - k) / 2
	highest = (1 - (math.Exp(-m*a)-math.Exp(-m*(p/2+b)))/2/den) * p / w
	lowest = (math.Exp(-m*b) - math.Exp(-m*(p/2+a))) / 2 / den * p / w
	return highest, lowest
}

// outline is where the rows lie, taken together.
type outline struct {
	x0, x1, y0, y1 float64 // m
	width, pitch   float64 // m, means
	hot            int     // row with the greatest heat flux
	flux           float64 // W/m², its heat flux
	meanFlux       float64 // W/m², all heat over all area
	touched        float64 // m², area of all rows
}

func outlineOf(in *Input) outline {
	o := outline{x0: in.Length, y0: in.Width, hot: -1}
	heat := 0.0
	for i := range in.Rows {
		r := &in.Rows[i]
		a := r.area()
		o.x0, o.x1 = min(o.x0, r.X0), max(o.x1, r.X1)
		o.y0, o.y1 = min(o.y0, r.Y-r.Width/2), max(o.y1, r.Y+r.Width/2)
		o.touched += a
		o.width += r.Width
		heat += r.Heat
		if q := r.Heat / a; o.hot < 0 || q > o.flux {
			o.hot, o.flux = i, q
		}
	}
	n := float64(len(in.Rows))
	if n == 0 {
		return outline{x1: in.Length, y1: in.Width, hot: -1}
	}
	o.width /= n
	o.meanFlux = heat / o.touched
	o.pitch = o.width
	if n > 1 {
		o.pitch = max(o.width, (o.y1-o.y0-o.width)/(n-1))
	}
	return o
}

// slope is the floor's total coefficient d(loss)/dT at mean t, W/(m²·K).
func (b *body) slope(c coefficients, t float64) float64 {
	return c.back + c.gap + 4*(b.radBack+b.radGap)*t*t*t
}

// form estimates from two crossed bands how much the edges stay below the
// mean and the middle rises above it.
func (b *body) form(o *outline, t, td float64, c coefficients) (s shape, centre, low float64) {
	h := b.slope(c, t)
	m := math.Sqrt(h / b.kt)
	rise := t - b.in.Ambient
	if !(rise > 0) {
		return shape{edge: 1}, 1, 1
	}
	// Share of the local drive that is spread evenly: the sheet's warmth
	// coming back and light swallowed by the floor.
	back := (c.gap*(td-b.in.Ambient) + b.radGap*(pow4(td)-b.ambient4)) + b.in.TrayHeat/b.area
	even := min(max(back/(back+b.strip/b.area), 0), 1)
	one := func(l, lit float64) (end, mid float64) {
		full := newBand(l/2, l/2, m, h, b.kt, c.edge)
		part := full
		k := 1.0
		if lit < l && even < 1 {
			part = newBand(l/2, lit/2, m, h, b.kt, c.edge)
			k = l / lit
		}
		mean := even*full.mean + (1-even)*k*part.mean
		return (even*full.end + (1-even)*k*part.end) / mean, (even*full.centre + (1-even)*k*part.centre) / mean
	}
	ex, cx := one(b.in.Length, o.x1-o.x0)
	ey, cy := one(b.in.Width, o.y1-o.y0)
	s.edge = (b.in.Width*ex + b.in.Length*ey) / (b.in.Width + b.in.Length)
	return s, cx * cy, ex * ey
}

// Node balances the mean floor and the sheet, with a closed form for the edge
// and for the peak over the mean. It allocates nothing.
//
// Validity: the ranges of [Input.Validate]; FloorMean within MeanError and
// FloorMax within MaxError of [Solve2D] (bounds fitted over random trays, see
// the package tests).
//
// Not modelled: rows of unlike heat or gap, rows off the middle; use [Series].
func Node(in *Input) (Result, error) {
	if err := in.Validate(); err != nil {
		return Result{}, err
	}
	b := newBody(in)
	o := outlineOf(in)
	t, td := b.guess()
	s := shape{edge: 1}
	t, td, c, n1, err := b.solveNode(s, t, td, closely)
	if err != nil {
		return Result{}, err
	}
	s, centre, low := b.form(&o, t, td, c)
	t, td, c, n2, err := b.solveNode(s, t, td, closely)
	if err != nil {
		return Result{}, err
	}
	r := Result{FloorMean: t, Diffuser: td, HotRow: o.hot, Rounds: n1 + n2}
	b.flows(&r, s, c)

	rise := t - in.Ambient
	r.FloorMax, r.FloorMin = t, in.Ambient+rise*low
	r.UnderStripMean, r.StripMean, r.StripMax = t, t, t
	if o.hot >= 0 && rise > 0 {
		m := math.Sqrt(b.slope(c, t) / b.kt)
		highest, _ := periodic(o.width, o.pitch, m)
		local := b.strip / b.area // W/m², what the rows add on the mean
		ripple := (highest - 1) * local / b.slope(c, t) * centre
		r.FloorMax = in.Ambient + rise*centre + ripple
		r.UnderStripMean = t + ripple
		r.StripMean = r.UnderStripMean + o.meanFlux*in.StripResistance
		r.StripMax = r.FloorMax + o.flux*in.StripResistance
	}
	r.MeanError, r.MaxError = nodeError(&r)
	r.finish(in)
	return r, r.checked()
}

// nodeError states how far Node is from Solve2D: a share of the unevenness,
// which the closed forms only estimate, plus what the iteration leaves.
func nodeError(r *Result) (mean, peak float64) {
	uneven := r.FloorMax - r.FloorMean
	return 0.1 + 0.12*uneven, 0.3 + 0.8*uneven
}
