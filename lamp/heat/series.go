package heat

import "math"

// series is the floor as a double sum of [modes].
type series struct {
	x, y  *modes
	c     []float64 // K, c[m*len(y)+n]
	rowY  [][]float64
	rowYw [][]float64
}

// spread is what solves at one state of the coefficients.
type spread struct {
	h    float64 // W/(m²K), slope of the losses at the mean
	kt   float64 // W/K
	even float64 // W/m², evenly spread drive over the linear loss
}

// newSeries projects the rows and divides by the loss of each shape,
//
//	θ_mn = q_mn / [N_m N_n (h + k t (α_m² + α_n²))]
//
// Source: the double cosine series of a plate with uniform loss (Carslaw &
// Jaeger), here with the walls in the shapes themselves.
func newSeries(in *Input, sp spread, edge float64, nx, ny int, symX, symY bool) *series {
	s := &series{x: newModes(in.Length, edge, sp.kt, nx, symX), y: newModes(in.Width, edge, sp.kt, ny, symY)}
	s.c = make([]float64, nx*ny)
	for m, u := range s.x.whole {
		if u == 0 {
			continue
		}
		row := s.c[m*ny : (m+1)*ny]
		for n, v := range s.y.whole {
			row[n] = sp.even * u * v
		}
	}
	s.addRows(in)
	for m, a := range s.x.alpha {
		row := s.c[m*ny : (m+1)*ny]
		nm, base := s.x.norm[m], sp.h+sp.kt*a*a
		for n, b := range s.y.alpha {
			row[n] /= nm * s.y.norm[n] * (base + sp.kt*b*b)
		}
	}
	return s
}

// addRows adds the heat of the rows, those of one extent together.
func (s *series) addRows(in *Input) {
	nx, ny := len(s.x.alpha), len(s.y.alpha)
	buf := make([]float64, nx*2+ny*(2*len(in.Rows)+1))
	mid, span, sum := buf[:nx], buf[nx:2*nx], buf[2*nx:2*nx+ny]
	rest := buf[2*nx+ny:]
	s.rowY = make([][]float64, len(in.Rows))
	s.rowYw = make([][]float64, len(in.Rows))
	for i := range in.Rows {
		r := &in.Rows[i]
		s.rowY[i], s.rowYw[i] = rest[:ny], rest[ny:2*ny]
		rest = rest[2*ny:]
		s.y.at(r.Y, s.rowY[i])
		s.y.over(s.rowY[i], r.Width, s.rowYw[i])
	}
	for i := range in.Rows {
		r := &in.Rows[i]
		first := true
		for j := range i {
			first = first && !(in.Rows[j].X0 == r.X0 && in.Rows[j].X1 == r.X1)
		}
		if !first {
			continue
		}
		clear(sum)
		for j := i; j < len(in.Rows); j++ {
			o := &in.Rows[j]
			if o.X0 != r.X0 || o.X1 != r.X1 {
				continue
			}
			q := o.Heat / o.area()
			for n, v := range s.rowYw[j] {
				sum[n] += q * v
			}
		}
		s.x.at((r.X0+r.X1)/2, mid)
		s.x.over(mid, r.X1-r.X0, span)
		for m, u := range span {
			row := s.c[m*ny : (m+1)*ny]
			for n, v := range sum {
				row[n] += u * v
			}
		}
	}
}

// figures are the mean, the mean along the edges and the variance.
func (s *series) figures() (mean, edge, variance float64) {
	ny := len(s.y.alpha)
	lx, ly := s.x.l, s.y.l
	ex, ey, square := 0.0, 0.0, 0.0
	for m := range s.x.alpha {
		var whole, end, sq float64
		for n, c := range s.c[m*ny : (m+1)*ny] {
			whole += c * s.y.whole[n]
			if s.y.order[n]%2 == 0 {
				end += c * s.y.end[n]
			}
			sq += c * c * s.y.norm[n]
		}
		square += sq * s.x.norm[m]
		mean += whole * s.x.whole[m]
		ey += end * s.x.whole[m]
		if s.x.order[m]%2 == 0 {
			ex += whole * s.x.end[m]
		}
	}
	mean /= lx * ly
	edge = (2*ey + 2*ex) / (2 * (lx + ly))
	return mean, edge, square/(lx*ly) - mean*mean
}

// along contracts the sum over x at one place, leaving a series in y.
func (s *series) along(x float64, shape, out []float64) {
	ny := len(s.y.alpha)
	s.x.at(x, shape)
	clear(out)
	for m, u := range shape {
		for n, c := range s.c[m*ny : (m+1)*ny] {
			out[n] += u * c
		}
	}
}

// bend takes the curvature of radiation into the leading shapes: the loss is
// f(T̄) + f'δ + ½f”δ², δ the departure from the mean, and the last term is
// sampled on a coarse net and projected back.
func (s *series) bend(sp spread, curve, mean float64, rounds int) {
	nx, ny := min(len(s.x.alpha), 6), min(len(s.y.alpha), 10)
	px, fx := s.x.net(nx)
	py, fy := s.y.net(ny)
	full := len(s.y.alpha)
	base, add := make([]float64, nx*ny), make([]float64, nx*ny)
	for m := range nx {
		copy(base[m*ny:(m+1)*ny], s.c[m*full:m*full+ny])
	}
	col, part := make([]float64, ny), make([]float64, ny)
	cell := s.x.l * s.y.l / float64(px*py)
	for range rounds {
		clear(add)
		total := 0.0
		for i := range px {
			ux := fx[i*nx : (i+1)*nx]
			clear(col)
			clear(part)
			for m, u := range ux {
				c := s.c[m*full : m*full+ny]
				for n := range col {
					col[n] += u * c[n]
				}
			}
			for j := range py {
				vy := fy[j*ny : (j+1)*ny]
				d := dot(col, vy) - mean
				d *= d
				total += d
				for n, v := range vy {
					part[n] += d * v
				}
			}
			for m, u := range ux {
				sum := add[m*ny : (m+1)*ny]
				for n, v := range part {
					sum[n] += u * v
				}
			}
		}
		average := total / float64(px*py)
		for m := range nx {
			for n := range ny {
				q := -curve / 2 * (add[m*ny+n]*cell - average*s.x.whole[m]*s.y.whole[n])
				a, b := s.x.alpha[m], s.y.alpha[n]
				s.c[m*full+n] = base[m*ny+n] + q/(s.x.norm[m]*s.y.norm[n]*(sp.h+sp.kt*(a*a+b*b)))
			}
		}
	}
}

// symmetry tells whether the rows mirror themselves in x and in y.
func symmetry(in *Input) (x, y bool) {
	const same = 1e-9
	x, y = true, true
	for i := range in.Rows {
		r := &in.Rows[i]
		x = x && math.Abs(r.X0+r.X1-in.Length) < same
		found := false
		for j := range in.Rows {
			o := &in.Rows[j]
			if math.Abs(r.Y+o.Y-in.Width) < same && math.Abs(r.X0-o.X0) < same && math.Abs(r.X1-o.X1) < same &&
				math.Abs(r.Width-o.Width) < same && math.Abs(r.Heat-o.Heat) < same {
				found = true
				break
			}
		}
		y = y && found
	}
	return x, y
}

// Series balances the means as [Node] does and lays the pattern of the rows
// on them by a double series that carries the walls in its shapes and the
// curvature of radiation in its leading terms.
//
// Validity: the ranges of [Input.Validate]; FloorMean within MeanError and
// FloorMax within MaxError of [Solve2D].
//
// Not modelled: local convection; the fine structure of radiation under one
// strip.
func Series(in *Input) (Result, error) {
	if err := in.Validate(); err != nil {
		return Result{}, err
	}
	b := newBody(in)
	o := outlineOf(in)
	symX, symY := symmetry(in)
	t, td := b.guess()
	t, td, c, rounds, err := b.solveNode(shape{edge: 1}, t, td, roughly)
	if err != nil {
		return Result{}, err
	}
	sh, _, _ := b.form(&o, t, td, c)
	var s *series
	shift := 0.0
	for _, coarse := range [2]bool{true, false} {
		var n int
		if t, td, c, n, err = b.solveNode(sh, t, td, closely); err != nil {
			return Result{}, err
		}
		rounds += n
		nx, ny := terms(in, &o, symX, symY, coarse)
		sp := b.linear(sh, t, td, c)
		s = newSeries(in, sp, c.edge, nx, ny, symX, symY)
		if !coarse {
			s.bend(sp, 12*(b.radBack+b.radGap)*t*t, t-in.Ambient, 2)
		}
		mean, edge, variance := s.figures()
		if mean > 1e-9 {
			sh = shape{edge: edge / mean, variance: max(variance, 0)}
		}
		shift = t - in.Ambient - mean
	}
	// The fine pattern's own edge and spread give the last word on the means;
	// the pattern moves with them.
	before := t
	if t, td, c, _, err = b.solveNode(sh, t, td, closely); err != nil {
		return Result{}, err
	}
	r := Result{FloorMean: t, Diffuser: td, HotRow: -1, Rounds: rounds}
	b.flows(&r, sh, c)
	s.extremes(in, &r, in.Ambient+shift+t-before, symX)
	r.MeanError, r.MaxError = seriesError(&r)
	r.finish(in)
	return r, r.checked()
}

// linear turns the losses at the state into slope and evenly spread drive.
func (b *body) linear(sh shape, t, td float64, c coefficients) spread {
	h := b.slope(c, t)
	loss := c.back*(t-b.in.Ambient) + b.radBack*(mean4(t, sh.variance)-b.ambient4) +
		c.gap*(t-td) + b.radGap*(mean4(t, sh.variance)-pow4(td))
	return spread{h: h, kt: b.kt, even: b.in.TrayHeat/b.area - loss + h*(t-b.in.Ambient)}
}

// terms chooses how many shapes resolve the strips (fine) or only the trend.
func terms(in *Input, o *outline, symX, symY, coarse bool) (nx, ny int) {
	nx, ny = 40, int(min(max(3.2*in.Width/o.width, 32), 160))
	if coarse {
		nx, ny = 12, 16
	}
	if symX {
		nx /= 2
	}
	if symY {
		ny = (ny + 1) / 2
	}
	return nx, ny
}

// extremes reads the floor under the middle of every row, and at the corners
// and edge middles.
func (s *series) extremes(in *Input, r *Result, ta float64, symX bool) {
	ny := len(s.y.alpha)
	shape, line, at := make([]float64, len(s.x.alpha)), make([]float64, ny), make([]float64, ny)
	r.FloorMax, r.FloorMin = math.Inf(-1), math.Inf(1)
	rows := make([]float64, len(in.Rows))
	for i := range rows {
		rows[i] = math.Inf(-1)
	}
	best, bestX := math.Inf(-1), in.Length/2
	visit := func(x float64, rowsToo bool) {
		s.along(x, shape, line)
		for _, y := range [3]float64{0, in.Width / 2, in.Width} {
			s.y.at(y, at)
			v := ta + dot(line, at)
			r.FloorMax, r.FloorMin = max(r.FloorMax, v), min(r.FloorMin, v)
		}
		if !rowsToo {
			return
		}
		hot, top := -1, math.Inf(-1)
		for i := range in.Rows {
			if q := &in.Rows[i]; x >= q.X0 && x <= q.X1 {
				v := ta + dot(line, s.rowY[i])
				rows[i] = max(rows[i], v)
				if v > top {
					hot, top = i, v
				}
			}
		}
		if hot < 0 {
			return
		}
		// Under an outer row the peak leans towards the middle.
		for _, y := range [...]float64{-0.5, -0.25, 0.25, 0.5} {
			s.y.at(in.Rows[hot].Y+y*in.Rows[hot].Width, at)
			top = max(top, ta+dot(line, at))
		}
		rows[hot] = max(rows[hot], top)
		r.FloorMax = max(r.FloorMax, top)
		if top > best {
			best, bestX = top, x
		}
	}
	visit(in.Length/2, true)
	visit(0, false)
	if !symX {
		visit(in.Length, false)
		for _, x := range [...]float64{0.2, 0.35, 0.65, 0.8} {
			visit(x*in.Length, true)
		}
		for i := range in.Rows {
			if math.IsInf(rows[i], -1) {
				visit((in.Rows[i].X0+in.Rows[i].X1)/2, true)
			}
		}
		for _, step := range [...]float64{0.07, 0.03} {
			x := bestX
			visit(x-step*in.Length, true)
			visit(x+step*in.Length, true)
		}
	}
	r.UnderStripMean, r.StripMean, r.StripMax = r.FloorMean, r.FloorMean, r.FloorMean
	if len(in.Rows) > 0 {
		under, touched := s.under(in)
		r.UnderStripMean = ta + under
		r.StripMean = r.UnderStripMean + in.stripHeat()/touched*in.StripResistance
		r.hottest(in, rows)
	}
}

// under is the mean rise under the strips, by area.
func (s *series) under(in *Input) (mean, touched float64) {
	nx, ny := len(s.x.alpha), len(s.y.alpha)
	mid, span, line := make([]float64, nx), make([]float64, nx), make([]float64, ny)
	sum := 0.0
	for i := range in.Rows {
		r := &in.Rows[i]
		if i == 0 || r.X0 != in.Rows[i-1].X0 || r.X1 != in.Rows[i-1].X1 {
			s.x.at((r.X0+r.X1)/2, mid)
			s.x.over(mid, r.X1-r.X0, span)
			clear(line)
			for m, u := range span {
				for n, c := range s.c[m*ny : (m+1)*ny] {
					line[n] += u * c
				}
			}
		}
		sum += dot(line, s.rowYw[i])
		touched += r.area()
	}
	return sum / touched, touched
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i, v := range a {
		sum += v * b[i]
	}
	return sum
}

// seriesError states how far Series is from Solve2D: radiation is carried to
// second order, and the peak is read under the middle of a row.
func seriesError(r *Result) (mean, peak float64) {
	uneven := r.FloorMax - r.FloorMean
	return 0.02 + 0.002*uneven, 0.05 + 0.02*uneven
}
