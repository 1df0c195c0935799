package optics

import "math"

// SpotContrast is the spot contrast of the light of the true LEDs, not of an
// endless lattice: (max−min)/(max+min) of L/⟨L⟩ over 2 × 2 lattice periods
// about (x, y), m, box frame, 32 points a period, where ⟨L⟩ is the mean over
// one period centred on each point, so that the slow fall-off to the rim does
// not count. The many-times reflected light is taken as even there.
// Unscattered light is left out; see DotRatio.
func (r *Solution) SpotContrast(x, y float64) float64 {
	const per = 32
	s, sh := r.solver, r.box.Sheet
	if sh.T == 0 || sh.Lambert()+sh.Lobe == 0 {
		return 0
	}
	l := latticeOf(&r.box, r.fields)
	px, py := l.Pitch, l.Spacing
	if l.Staggered {
		py *= 2
	}
	line := func(c, p float64) []float64 {
		v := make([]float64, 2*per)
		for i := range v {
			v[i] = c - p + p*(float64(i)+0.5)/per
		}
		return v
	}
	xs, ys := line(x, px), line(y, py)
	n := len(xs)
	at, mean := make([]float64, n*n), make([]float64, n*n)
	far := math.Hypot(r.box.Length, r.box.Width) * float64(s.most+1)
	centre := 0.0
	for i, f := range r.fields {
		h := r.box.Height - f.z
		t := s.tables[i]
		g := gaussSum{t.sheet.a[:t.kSheet], t.sheet.c[:t.kSheet]}
		k := sh.T * sh.Lambert() / math.Pi
		centre += s.addWindow(f, g, k, xs, ys, px, py, at, mean)
		if sh.Lobe > 0 {
			centre += s.addWindow(f, s.film.kernel(f.m, h, far), sh.T*sh.Lobe, xs, ys, px, py, at, mean)
		}
	}
	rest := max(0, r.Face.At(clampf(x, 0, r.box.Length), clampf(y, 0, r.box.Width))-centre)
	hi, lo := math.Inf(-1), math.Inf(1)
	for i := range at {
		if m := mean[i] + rest; m > 0 {
			v := (at[i] + rest) / m
			hi, lo = max(hi, v), min(lo, v)
		}
	}
	if hi+lo <= 0 {
		return 0
	}
	return (hi - lo) / (hi + lo)
}

// addWindow adds k·Σ Φ·g at the points xs × ys to at, its mean over px × py
// about each of them to mean, and returns the mean over all points.
func (s *Solver) addWindow(f *field, g gaussSum, k float64, xs, ys []float64, px, py float64, at, mean []float64) (sum float64) {
	if f.total == 0 || k == 0 {
		return 0
	}
	n := len(xs)
	nc, nl := len(f.x), len(f.y)
	line := func(ax *axis, pts, from []float64, a, period float64) (v, m []float64) {
		// Wide Gaussians are smooth over the window: a few points tell all.
		at := pts
		if smooth := a*period*period < 0.5; smooth {
			at = chebyshev(pts[0], pts[n-1])
		}
		v, m = make([]float64, len(at)*len(from)), make([]float64, len(at)*len(from))
		q := math.Sqrt(a)
		w0 := math.Sqrt(math.Pi) / (2 * q * period)
		for c, p := range from {
			ax.imagePoints(p, a, pts[0]-period, pts[n-1]+period, s.most, func(p, w float64) {
				for i, x := range at {
					d := x - p
					v[i*len(from)+c] += w * expMinus(a*d*d)
					m[i*len(from)+c] += w * w0 * (erf(q*(d+period/2)) - erf(q*(d-period/2)))
				}
			})
		}
		if len(at) < n {
			l := lagrange(at, pts)
			v, m = spreadRows(l, v, len(at), len(from)), spreadRows(l, m, len(at), len(from))
		}
		return v, m
	}
	lv := make([]float64, nl)
	for q, a := range g.a {
		vx, mx := line(&s.grid.x, xs, f.x, a, px)
		vy, my := line(&s.grid.y, ys, f.y, a, py)
		c := k * g.c[q]
		for i := range n {
			f.alongLines(vx[i*nc:(i+1)*nc], lv)
			for j := range n {
				v := c * dot(lv, vy[j*nl:])
				at[j*n+i] += v
				sum += v
			}
			f.alongLines(mx[i*nc:(i+1)*nc], lv)
			for j := range n {
				mean[j*n+i] += c * dot(lv, my[j*nl:])
			}
		}
	}
	return sum / float64(n*n)
}

// chebyshev gives twelve Chebyshev points of a…b.
func chebyshev(a, b float64) []float64 {
	const n = 12
	x := make([]float64, n)
	for i := range x {
		x[i] = (a+b)/2 - (b-a)/2*math.Cos(math.Pi*(float64(i)+0.5)/n)
	}
	return x
}

// lagrange is the matrix, row-major len(to) × len(from), that interpolates
// values at from to the points to.
func lagrange(from, to []float64) []float64 {
	m := make([]float64, len(to)*len(from))
	for i, x := range to {
		for j, xj := range from {
			w := 1.0
			for k, xk := range from {
				if k != j {
					w *= (x - xk) / (xj - xk)
				}
			}
			m[i*len(from)+j] = w
		}
	}
	return m
}

// spreadRows multiplies the matrix m by the rows of v.
func spreadRows(m, v []float64, rows, cols int) []float64 {
	n := len(m) / rows
	out := make([]float64, n*cols)
	for i := range n {
		to := out[i*cols : (i+1)*cols]
		for k := range rows {
			w := m[i*rows+k]
			from := v[k*cols:]
			from = from[:len(to)]
			for c := range to {
				to[c] += w * from[c]
			}
		}
	}
	return out
}

// Ripple is the spot contrast at the face's centre.
func (r *Solution) Ripple() float64 {
	return r.SpotContrast(r.box.Length/2, r.box.Width/2)
}

// RimRipple is the spot contrast as near the rim as whole periods fit: the
// worse of the middle of a long and of a short edge.
func (r *Solution) RimRipple() float64 {
	l := latticeOf(&r.box, r.fields)
	if l.Staggered {
		l.Spacing *= 2
	}
	in := func(period, size float64) float64 { return min(1.5*period, size/2) }
	return max(r.SpotContrast(r.box.Length/2, in(l.Spacing, r.box.Width)),
		r.SpotContrast(in(l.Pitch, r.box.Length), r.box.Width/2))
}

// DotRatio is the brightest LED seen unscattered through the sheet over the
// face's mean, from the emitter areas of the rows; 0 if they are unknown.
func (r *Solution) DotRatio() float64 {
	top := 0.0
	for i := range r.box.Rows {
		row := &r.box.Rows[i]
		if row.EmitterArea == 0 || !(r.Face.Mean > 0) {
			continue
		}
		flux := 0.0
		for k := range row.Count {
			flux = max(flux, row.flux(k))
		}
		if v, err := DotRatio(r.box.Sheet, flux, row.BeamFWHM, row.EmitterArea, r.Face.Mean); err == nil {
			top = max(top, v)
		}
	}
	return top
}
