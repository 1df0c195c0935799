package heat

import "math"

// Solve2D solves the floor on a grid whose lines follow the rows, with
// radiation taken cell by cell:
//
//	-k t ∇²T + h_back(T-Ta) + ε_b σ(T⁴-Ta⁴) + h_gap(T-Td) + E σ(T⁴-Td⁴) = q(x, y)
//
// with the walls as fins at the edges, E = 1/(1/ε_f + 1/ε_d - 1), and one
// balance for the sheet at Td. Convection coefficients are uniform, taken at
// the means. Cell-centred finite volumes, Newton with a banded Cholesky
// factor kept over rounds.
//
// Accuracy of the grid: MaxError and MeanError, from tests against finer
// grids. Result and map agree with each other.
//
// Source: the laws named at [Node]; finite volumes after Patankar, Numerical
// Heat Transfer and Fluid Flow, 1980, ch. 4.
//
// Not modelled: see the package comment; local convection coefficients.
func Solve2D(in *Input) (Result, *Map, error) { return solveGrid(in, 1) }

func solveGrid(in *Input, fine float64) (Result, *Map, error) {
	if err := in.Validate(); err != nil {
		return Result{}, nil, err
	}
	b := newBody(in)
	o := outlineOf(in)
	t0, td := b.guess()
	t0, td, c, _, err := b.solveNode(shape{edge: 1}, t0, td, roughly)
	if err != nil {
		return Result{}, nil, err
	}
	s, _, _ := b.form(&o, t0, td, c)
	if t0, td, c, _, err = b.solveNode(s, t0, td, closely); err != nil {
		return Result{}, nil, err
	}
	g := newGrid(in, fine)
	f := floorState{b: &b, g: g, t: make([]float64, g.nx*g.ny), mean: t0, td: td}
	for k := range f.t {
		f.t[k] = t0
	}
	if err := f.settle(); err != nil {
		return Result{}, nil, err
	}
	r := f.result()
	return r, f.picture(), r.checked()
}

// floorState is the running solution.
type floorState struct {
	b      *body
	g      *grid
	t      []float64
	mean   float64
	td     float64
	c      coefficients
	wall   []float64 // W/K per cell
	rounds int
}

// settle iterates until the field changes by less than 1e-7 K in a round.
func (f *floorState) settle() error {
	b, g := f.b, f.g
	n := len(f.t)
	res, rhs := make([]float64, n), make([]float64, n)
	var ch *cholesky
	last := math.Inf(1)
	for f.rounds = 1; f.rounds <= 80; f.rounds++ {
		f.c = b.coefficients(f.mean, f.td)
		diag, next, far, wall := g.matrix(b.kt, f.c.edge)
		f.wall = wall
		f.residual(diag, next, far, res)
		if ch == nil {
			d := make([]float64, n)
			for k, t := range f.t {
				d[k] = diag[k] + wall[k] + g.area[k]*(f.c.back+f.c.gap+4*(b.radBack+b.radGap)*t*t*t)
			}
			ch = factor(d, next, far, g.stride())
		}
		copy(rhs, res)
		ch.solve(rhs)
		change := 0.0
		for k := range f.t {
			f.t[k] += rhs[k]
			change = max(change, math.Abs(rhs[k]))
		}
		if !(change < 300) {
			return ErrTooHot
		}
		change = max(change, f.level())
		if change < 1e-7 {
			return nil
		}
		if change > last*0.5 && f.rounds > 2 {
			ch = nil // the factor has aged
		}
		last = change
	}
	return ErrNotSettled
}

// residual is heat put in minus heat leaving, W per cell.
func (f *floorState) residual(diag, next, far, out []float64) {
	b, g := f.b, f.g
	ta, td4 := b.in.Ambient, pow4(f.td)
	w := g.stride()
	n := len(f.t)
	for k, t := range f.t {
		t4 := pow4(t)
		loss := f.c.back*(t-ta) + b.radBack*(t4-b.ambient4) + f.c.gap*(t-f.td) + b.radGap*(t4-td4)
		out[k] = g.heat[k] - g.area[k]*loss - f.wall[k]*(t-ta) - diag[k]*t
	}
	for k := range n - 1 {
		if v := next[k]; v != 0 {
			out[k] -= v * f.t[k+1]
			out[k+1] -= v * f.t[k]
		}
	}
	for k := range n - w {
		if v := far[k]; v != 0 {
			out[k] -= v * f.t[k+w]
			out[k+w] -= v * f.t[k]
		}
	}
}

// level moves the whole floor and the sheet together so that the two overall
// balances hold, which rounds over the cells alone approach slowly, and
// returns how far it moved either.
func (f *floorState) level() float64 {
	b, ta := f.b, f.b.in.Ambient
	moved := 0.0
	for range 3 {
		s := f.sums()
		c := b.coefficients(s.mean, f.td)
		t, td, a := s.mean, f.td, b.area
		td4 := pow4(td)
		gap := a * (c.gap*(t-td) + b.radGap*(s.mean4-td4))
		f1 := b.strip + b.in.TrayHeat - a*(c.back*(t-ta)+b.radBack*(s.mean4-b.ambient4)) - s.wall*c.edge/f.c.edge1() - gap
		f2 := b.in.DiffuserHeat + gap - a*(c.sheet*(td-ta)+b.radDiffuser*(td4-b.ambient4))
		gx := a * (1.28*c.gap + 4*b.radGap*s.mean3)
		gy := a * (1.28*c.gap + 4*b.radGap*td*td*td)
		j11 := a*(1.25*c.back+4*b.radBack*s.mean3) + s.wallG + gx
		j22 := a*(1.25*c.sheet+4*b.radDiffuser*td*td*td) + gy
		det := j11*j22 - gx*gy
		dx, dy := (f1*j22+f2*gy)/det, (f2*j11+f1*gx)/det
		for k := range f.t {
			f.t[k] += dx
		}
		f.td += dy
		f.mean = t + dx
		step := max(math.Abs(dx), math.Abs(dy))
		moved = max(moved, step)
		if step < 1e-8 {
			break
		}
	}
	return moved
}

// edge1 is the edge conductance for division, 1 where there are no walls.
func (c *coefficients) edge1() float64 {
	if c.edge > 0 {
		return c.edge
	}
	return 1
}

// sums are means over the floor, by area.
type sums struct {
	mean, mean3, mean4 float64 // K, K³, K⁴
	variance           float64 // K²
	wall               float64 // W through the walls
	wallG              float64 // W/K, all wall conductances
}

func (f *floorState) sums() (s sums) {
	g, ta := f.g, f.b.in.Ambient
	for k, t := range f.t {
		a := g.area[k]
		s.mean += a * t
		s.mean3 += a * t * t * t
		s.mean4 += a * pow4(t)
		s.wall += f.wall[k] * (t - ta)
		s.wallG += f.wall[k]
	}
	s.mean /= f.b.area
	s.mean3 /= f.b.area
	s.mean4 /= f.b.area
	for k, t := range f.t {
		s.variance += g.area[k] * (t - s.mean) * (t - s.mean)
	}
	s.variance /= f.b.area
	return s
}

// result reads the floor.
func (f *floorState) result() Result {
	b, g, in := f.b, f.g, f.b.in
	s := f.sums()
	ta, td := in.Ambient, f.td
	r := Result{
		FloorMean: s.mean, FloorMax: math.Inf(-1), FloorMin: math.Inf(1), Diffuser: td, HotRow: -1,
		BackCoefficient: f.c.back, GapCoefficient: f.c.gap, DiffuserCoefficient: f.c.sheet,
		WallCoefficient: f.c.wall, WallConductance: f.c.edge, Rounds: f.rounds,
		BackHeat:  b.area * (f.c.back*(s.mean-ta) + b.radBack*(s.mean4-b.ambient4)),
		WallHeat:  s.wall,
		FrontHeat: b.area * (f.c.sheet*(td-ta) + b.radDiffuser*(pow4(td)-b.ambient4)),
	}
	r.Balance = b.total - r.BackHeat - r.WallHeat - r.FrontHeat
	rows := make([]float64, len(in.Rows))
	for i := range rows {
		rows[i] = math.Inf(-1)
	}
	under, touched := 0.0, 0.0
	for k, t := range f.t {
		r.FloorMax, r.FloorMin = max(r.FloorMax, t), min(r.FloorMin, t)
		if w := g.strip[k]; w > 0 {
			under += w * t
			touched += w
			if i := g.rowOf[k]; t > rows[i] {
				rows[i] = t
			}
		}
	}
	r.UnderStripMean, r.StripMean, r.StripMax = s.mean, s.mean, s.mean
	if touched > 0 {
		r.UnderStripMean = under / touched
		r.StripMean = r.UnderStripMean + b.strip/touched*in.StripResistance
		r.hottest(in, rows)
	}
	r.MeanError, r.MaxError = gridError(&r)
	r.finish(in)
	return r
}

// gridError states what the usual grid leaves, from halving its cells.
func gridError(r *Result) (mean, peak float64) {
	uneven := r.FloorMax - r.FloorMean
	return 0.002 + 1e-3*uneven, 0.02 + 5e-3*uneven
}

// hottest adds the rise of each strip over its floor and finds the hottest.
func (r *Result) hottest(in *Input, rows []float64) {
	r.StripMax = math.Inf(-1)
	for i := range rows {
		row := &in.Rows[i]
		rows[i] += row.Heat / row.area() * in.StripResistance
		if rows[i] > r.StripMax {
			r.StripMax, r.HotRow = rows[i], i
		}
	}
	r.RowStrip = rows
}

// picture lays the field out as rows of x.
func (f *floorState) picture() *Map {
	g := f.g
	m := &Map{XEdges: g.xe, YEdges: g.ye, T: make([]float64, len(f.t))}
	for i := range g.nx {
		m.X = append(m.X, (g.xe[i]+g.xe[i+1])/2)
	}
	for j := range g.ny {
		m.Y = append(m.Y, (g.ye[j]+g.ye[j+1])/2)
		for i := range g.nx {
			m.T[j*g.nx+i] = f.t[g.index(i, j)]
		}
	}
	return m
}
