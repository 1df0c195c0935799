package optics

import (
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/mathext"
)

// ledTables are one field's direct light in one-dimensional parts, mirror
// images of the LEDs with their losses included. They depend on geometry and
// mirror parts only.
type ledTables struct {
	f      *field // places; fluxes are passed in
	sheet  gaussSum
	kSheet int // exponents from here on no longer reach the sheet
	// cells are, k-th slice, then cell-major, cx[k][i*cols+c] = ∫exp(−a(x−x_c)²)
	// over cell i, m; made when fluxes come that are no product.
	cells func() (cx, cy [][]float64)
	// sums are those over the LEDs, for fluxes that are a product.
	sums func(f *field) (sx, sy [][]float64)
	// distance parts: x0[k][c] = Σ Δx·exp(−aΔx²) to wall 0, m; and so on.
	x0, xl, y0, yl [][]float64
	// up[k][l] = w·(m+1)/(2π)·∫Δz^m·exp(−aΔz²) over wall rung l.
	up [][]float64
}

// imagePoints calls add with every image of x on the axis that matters for
// exponent a near the stretch lo…hi, and its loss.
func (ax *axis) imagePoints(x, a, lo, hi float64, most int, add func(x, w float64)) {
	reach := ax.reach(a, most)
	for c := -reach; c <= reach; c++ {
		w := ax.pass(c)
		if w == 0 {
			continue
		}
		v, _ := imageOf(x, x, c, ax.l)
		if d := max(v-hi, lo-v); d > 0 && a*d*d > 34 {
			continue
		}
		add(v, w)
	}
}

func (g *grid) ledTables(f *field, most int) *ledTables {
	b := &g.b
	h := b.Height - f.z
	near := h
	for _, x := range f.x {
		near = min(near, x, b.Length-x)
	}
	for _, y := range f.y {
		near = min(near, y, b.Width-y)
	}
	far := math.Hypot(b.Length, b.Width) * float64(most+1)
	p := (f.m + 3) / 2
	a, w := inversePower(p, near, math.Hypot(far, h))
	front := (f.m + 1) / (2 * math.Pi)
	t := &ledTables{f: f, sheet: gaussSum{a: a, c: make([]float64, len(a))}}
	for k := range a {
		t.sheet.c[k] = front * w[k] * math.Pow(h, f.m+1) * math.Exp(-a[k]*h*h)
		if a[k]*h*h < 34 {
			t.kSheet = k + 1
		}
	}
	nc, nl, nz := len(f.x), len(f.y), len(g.z)-1
	all := make([]float64, len(a)*(2*nc+2*nl+nz))
	take := func(n int) []float64 {
		s := all[:n:n]
		all = all[n:]
		return s
	}
	t.cells = sync.OnceValues(func() (cx, cy [][]float64) {
		for _, av := range a {
			cx, cy = append(cx, g.x.cellTable(f.x, av, most)), append(cy, g.y.cellTable(f.y, av, most))
		}
		return cx, cy
	})
	t.sums = sumsOf(func(ux, uy []float64) (sx, sy [][]float64) {
		for _, av := range a {
			sx, sy = append(sx, g.x.cellSums(f.x, ux, av, most)), append(sy, g.y.cellSums(f.y, uy, av, most))
		}
		return sx, sy
	})
	for k, av := range a {
		x0, xl := take(nc), take(nc)
		for c, x := range f.x {
			x0[c], xl[c] = g.x.wallDistance(x, av, most)
		}
		y0, yl := take(nl), take(nl)
		for c, y := range f.y {
			y0[c], yl[c] = g.y.wallDistance(y, av, most)
		}
		t.x0, t.xl = append(t.x0, x0), append(t.xl, xl)
		t.y0, t.yl = append(t.y0, y0), append(t.yl, yl)
		up := take(nz)
		last := 0.0
		for l := range nz {
			top := max(0, g.z[l+1]-f.z)
			v := rise(f.m, av, top)
			up[l] = front * w[k] * (v - last)
			last = v
		}
		t.up = append(t.up, up)
	}
	return t
}

// rise is ∫₀^top z^m·exp(−a z²) dz = ½a^−(m+1)/2·γ((m+1)/2, a·top²).
func rise(m, a, top float64) float64 {
	if top == 0 {
		return 0
	}
	if m == 1 {
		return -math.Expm1(-a*top*top) / (2 * a)
	}
	s := (m + 1) / 2
	return 0.5 * math.Pow(a, -s) * math.Gamma(s) * mathext.GammaIncReg(s, a*top*top)
}

func (ax *axis) cellTable(x []float64, a float64, most int) []float64 {
	n, r := ax.n(), math.Sqrt(a)
	f := math.Sqrt(math.Pi) / (2 * r)
	t := make([]float64, n*len(x))
	half := len(x)
	if ax.w0 == ax.wl && mirrored(x, ax.l) {
		half = (half + 1) / 2
	}
	row := make([]float64, n)
	for c, xv := range x[:half] {
		clear(row)
		ax.gatherCells(xv, r, f, most, row)
		for i, e := range row {
			t[i*len(x)+c] = e
		}
	}
	for i := range n {
		for c := half; c < len(x); c++ {
			t[i*len(x)+c] = t[(n-1-i)*len(x)+len(x)-1-c]
		}
	}
	return t
}

// gatherCells adds to row k times 2/√π·∫exp(−r²(x−v)²)·r dx over every cell, of an
// LED at v and its images.
func (ax *axis) gatherCells(v, r, k float64, most int, row []float64) {
	ax.imagePoints(v, r*r, 0, ax.l, most, func(v, w float64) {
		w *= k
		prev := erf(r * (ax.edge[0] - v))
		for i := range row {
			u := r * (ax.edge[i+1] - v)
			if u <= -erfEnd {
				continue // before the Gaussian begins
			}
			e := erf(u)
			row[i] += w * (e - prev)
			if prev = e; u >= erfEnd {
				break // behind its end
			}
		}
	})
}

// cellSums are what all LEDs at x give together over every cell, each by its
// weight: Σ_c weights[c]·cellTable[i, c], m.
func (ax *axis) cellSums(x, weights []float64, a float64, most int) []float64 {
	n, r := ax.n(), math.Sqrt(a)
	f := math.Sqrt(math.Pi) / (2 * r)
	row := make([]float64, n)
	if ax.w0 != ax.wl || !mirrored(x, ax.l) || !palindrome(weights, alikeWeights) {
		for c, v := range x {
			ax.gatherCells(v, r, f*weights[c], most, row)
		}
		return row
	}
	// Half of the LEDs, and the mirror image of what they give.
	for c, v := range x[:(len(x)+1)/2] {
		k := f * weights[c]
		if c == len(x)-1-c {
			k /= 2
		}
		ax.gatherCells(v, r, k, most, row)
	}
	out := make([]float64, n)
	for i := range out {
		out[i] = row[i] + row[n-1-i]
	}
	return out
}

// alikeWeights is how far weights that sum to 1 may differ and still be alike.
const alikeWeights = 1e-13

// sumsOf keeps the sums over the LEDs that make gives for the weights last asked
// for. The weights of either side are a field's column and line sums over its
// total, so that they sum to 1.
func sumsOf(make func(ux, uy []float64) (sx, sy [][]float64)) func(f *field) (sx, sy [][]float64) {
	var mu sync.Mutex
	var ux, uy []float64
	var sx, sy [][]float64
	return func(f *field) ([][]float64, [][]float64) {
		vx, vy := f.weights()
		mu.Lock()
		defer mu.Unlock()
		if !slices.Equal(ux, vx) || !slices.Equal(uy, vy) {
			ux, uy = vx, vy
			sx, sy = make(ux, uy)
		}
		return sx, sy
	}
}

// weights are the column and the line sums over the total.
func (f *field) weights() (ux, uy []float64) {
	all := make([]float64, len(f.colSum)+len(f.lineSum))
	ux, uy = all[:len(f.colSum)], all[len(f.colSum):]
	for i, v := range f.colSum {
		ux[i] = v / f.total
	}
	for i, v := range f.lineSum {
		uy[i] = v / f.total
	}
	return ux, uy
}

// wallDistance is Σ Δ·exp(−aΔ²) over the images of x in front of wall 0 and
// of wall l.
func (ax *axis) wallDistance(x, a float64, most int) (to0, toL float64) {
	reach := ax.reach(a, most)
	for c := 0; c <= reach; c++ {
		v, _ := imageOf(x, x, c, ax.l)
		to0 += ax.pass(c) * v * expMinus(a*v*v)
		v, _ = imageOf(ax.l-x, ax.l-x, c, ax.l)
		toL += ax.pass(-c) * v * expMinus(a*v*v)
	}
	return to0, toL
}

// alongLines is F·u: for every line Σ_c flux·u[c].
func (f *field) alongLines(u, out []float64) {
	if f.product {
		k := dot(f.colSum, u) / f.total
		for j, v := range f.lineSum {
			out[j] = k * v
		}
		return
	}
	n := len(f.x)
	for j := range out {
		out[j] = dot(f.flux[j*n:(j+1)*n], u)
	}
}

// alongColumns is Fᵀ·v.
func (f *field) alongColumns(v, out []float64) {
	if f.product {
		k := dot(f.lineSum, v) / f.total
		for i, c := range f.colSum {
			out[i] = k * c
		}
		return
	}
	clear(out)
	n := len(f.x)
	for j, w := range v {
		if w == 0 {
			continue
		}
		for i, c := range f.flux[j*n : (j+1)*n] {
			out[i] += w * c
		}
	}
}

// patchLight is a quantity on every patch of the whole grid, not folded.
type patchLight struct {
	floor, sheet   []float64 // x first
	x0, xl, y0, yl []float64 // z first
}

func (g *grid) newPatchLight() patchLight {
	nx, ny, nz := g.x.n(), g.y.n(), len(g.z)-1
	all := make([]float64, 2*nx*ny+2*(nx+ny)*nz)
	cut := func(n int) []float64 {
		s := all[:n:n]
		all = all[n:]
		return s
	}
	return patchLight{floor: cut(nx * ny), sheet: cut(nx * ny), x0: cut(ny * nz), xl: cut(ny * nz), y0: cut(nx * nz), yl: cut(nx * nz)}
}

// addDirect adds the patch means of field f's direct illuminance, lx, over each
// patch's area. f has the table's places. With even set, light and walls are
// alike in all quarters and only the first is filled; see unfold.
func (g *grid) addDirect(t *ledTables, f *field, e *patchLight, even bool) {
	if f.total == 0 {
		return
	}
	wide, ny, nz := g.x.n(), g.y.n(), len(g.z)-1
	nx := wide
	if even {
		nx, ny = nx/2, ny/2
	}
	if f.product {
		g.addProduct(t, f, e, nx, ny, even)
		return
	}
	nc, nl := len(f.x), len(f.y)
	lv, cv := make([]float64, nl), make([]float64, nc)
	allX, allY := t.cells()
	for k := range t.up {
		cx, cy := allX[k], allY[k]
		if k < t.kSheet {
			for i := range nx {
				f.alongLines(cx[i*nc:(i+1)*nc], lv)
				for j := range ny {
					e.sheet[j*wide+i] += t.sheet.c[k] * dot(lv, cy[j*nl:])
				}
			}
		}
		up := t.up[k]
		wall := func(dst, along, v []float64, n int) {
			for j := range n {
				s := dot(v, along[j*len(v):])
				if s == 0 {
					continue
				}
				for l, u := range up {
					dst[j*nz+l] += s * u
				}
			}
		}
		f.alongLines(t.x0[k], lv)
		wall(e.x0, cy, lv, ny)
		f.alongColumns(t.y0[k], cv)
		wall(e.y0, cx, cv, nx)
		if even {
			continue // the far walls get what the near ones get
		}
		f.alongLines(t.xl[k], lv)
		wall(e.xl, cy, lv, ny)
		f.alongColumns(t.yl[k], cv)
		wall(e.yl, cx, cv, nx)
	}
}

// addProduct is addDirect for fluxes that are a product of columns and lines, up
// to nx and ny cells.
func (g *grid) addProduct(t *ledTables, f *field, e *patchLight, nx, ny int, even bool) {
	wide, nz := g.x.n(), len(g.z)-1
	ux, uy := f.weights()
	allX, allY := t.sums(f)
	px := make([]float64, nx)
	for k, up := range t.up {
		sx, sy := allX[k], allY[k]
		if k < t.kSheet {
			for i := range px {
				px[i] = f.total * t.sheet.c[k] * sx[i]
			}
			for j, v := range sy[:ny] {
				row := e.sheet[j*wide : j*wide+nx]
				for i, p := range px {
					row[i] += v * p
				}
			}
		}
		wall := func(dst, along, u, distance []float64) {
			s := f.total * dot(u, distance)
			for j, v := range along {
				if v == 0 {
					continue
				}
				to := dst[j*nz : (j+1)*nz]
				for l, w := range up {
					to[l] += s * v * w
				}
			}
		}
		wall(e.x0, sy[:ny], ux, t.x0[k])
		wall(e.y0, sx[:nx], uy, t.y0[k])
		if even {
			continue // the far walls get what the near ones get
		}
		wall(e.xl, sy[:ny], ux, t.xl[k])
		wall(e.yl, sx[:nx], uy, t.yl[k])
	}
}

// perArea turns the integrals of addDirect into patch means.
func (g *grid) perArea(e *patchLight) {
	nx, ny, nz := g.x.n(), g.y.n(), len(g.z)-1
	for j := range ny {
		for i := range nx {
			e.sheet[j*nx+i] /= g.x.width(i) * g.y.width(j)
		}
	}
	for l := range nz {
		dz := g.z[l+1] - g.z[l]
		for j := range ny {
			e.x0[j*nz+l] /= g.y.width(j) * dz
			e.xl[j*nz+l] /= g.y.width(j) * dz
		}
		for i := range nx {
			e.y0[i*nz+l] /= g.x.width(i) * dz
			e.yl[i*nz+l] /= g.x.width(i) * dz
		}
	}
}

// close scales the walls' direct light by one factor so that all LED light
// arrives: Σ_sheet EA + Σ_walls EA(1−mirror) = Σ Φ. It returns the sheet's
// share.
func (g *grid) close(e *patchLight, flux float64) float64 {
	nx, ny, nz := g.x.n(), g.y.n(), len(g.z)-1
	sheet, walls := 0.0, 0.0
	for j := range ny {
		for i := range nx {
			sheet += e.sheet[j*nx+i] * g.x.width(i) * g.y.width(j)
		}
	}
	for l := range nz {
		dz := g.z[l+1] - g.z[l]
		for j := range ny {
			walls += dz * g.y.width(j) * (e.x0[j*nz+l]*(1-g.x.w0) + e.xl[j*nz+l]*(1-g.x.wl))
		}
		for i := range nx {
			walls += dz * g.x.width(i) * (e.y0[i*nz+l]*(1-g.y.w0) + e.yl[i*nz+l]*(1-g.y.wl))
		}
	}
	scale := func(k float64, parts ...[]float64) {
		for _, s := range parts {
			for i := range s {
				s[i] *= k
			}
		}
	}
	if walls > 1e-3*flux {
		scale((flux-sheet)/walls, e.x0, e.xl, e.y0, e.yl)
	} else if sheet > 0 {
		// Next to nothing for the walls: the sheet gets it all.
		scale((flux-walls)/sheet, e.sheet)
		sheet = flux - walls
	}
	return sheet / flux
}
