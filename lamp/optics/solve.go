package optics

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/mat"
)

// Options of the full solution. The zero value is the usual choice.
type Options struct {
	Detail Detail
	Cell   float64 // m, size of the face map's cells; 0 stands for 5 mm
}

// DefaultCell is the size, m, of the face map's cells.
const DefaultCell = 5e-3

// Solver holds what the full solution needs of a box's geometry: sizes, LED
// places and beams, mirror parts, lobe width. One Solver serves any diffuse
// reflectances, transmittances and fluxes, from several goroutines at once.
type Solver struct {
	box    Box
	opt    Options
	film   *Film
	most   int
	grid   *grid
	fields []*field
	tables []*ledTables
	face   func() *faceTables
	lines  windowLines
}

// NewSolver prepares the full solution of b and of boxes that differ from it
// in diffuse reflectances, sheet transmission and fluxes only. film may be
// nil. The error is an *InputError.
func NewSolver(b Box, film *Film, opt Options) (*Solver, error) {
	if err := b.Validate(); err != nil {
		return nil, err
	}
	if opt.Cell == 0 {
		opt.Cell = DefaultCell
	}
	if err := within("cell", opt.Cell, 5e-4, 0.1, "give the size of the face map's cells in metres"); err != nil {
		return nil, err
	}
	if b.Sheet.Lobe > 0 && film == nil {
		var err error
		if film, err = NewFilm(b.Sheet.LobeFWHM); err != nil {
			return nil, err
		}
	}
	if b.Sheet.Lobe == 0 {
		film = nil
	}
	s := &Solver{box: b, opt: opt, film: film, grid: newGrid(&b, opt.Detail), fields: b.fields()}
	if w := max(b.Walls[0].mirror(), b.Walls[1].mirror(), b.Walls[2].mirror(), b.Walls[3].mirror()); w > 0 {
		s.most = imageReach(&b, w)
	}
	for _, f := range s.fields {
		s.tables = append(s.tables, s.grid.ledTables(f, s.most))
	}
	s.face = sync.OnceValue(s.newFaceTables)
	return s, nil
}

// Solve computes the box in full, cold. See Solver.Solve.
func Solve(b Box, opt Options) (*Solution, error) {
	s, err := NewSolver(b, nil, opt)
	if err != nil {
		return nil, err
	}
	return s.Solve(b)
}

// Solution is a solved box. It does not change and may be shared.
type Solution struct {
	Balance
	Face   Face
	solver *Solver
	box    Box
	fields []*field // with fluxes
	direct patchLight
	total  patchLight // illuminance
	glow   glow
	looks  looks
	even   bool // mirror-symmetric both ways
	// mirrored tells that the LEDs' light is, before any reflection.
	mirrored bool
	panels   []facePanel // of the usual size
	// lambert is the part of Face.L that is alike from all sides; nil if all is.
	lambert []float64
}

// Solve follows the light of b through any number of reflections: direct
// light by separable sums, mirror parts by images, diffuse exchange between
// patches by radiosity,
//
//	E_k = E_k,direct + Σ_j F_kj·ρ_j·E_j,
//
// and reads the face. b must have the geometry, mirror parts and lobe of the
// Solver's box; the error is an *InputError.
//
// Validity: see Box.Findings; Detail says how near it comes to photon tracing.
// Source: radiosity with configuration factors, Howell, Mengüç, Daun, Siegel,
// Thermal Radiation Heat Transfer; image method for the mirror parts.
//
// Not modelled: mirror reflection of the sheet, thickness of the sheet, gaps
// at its edge, wires on the floor, angle-dependent transmittance, the bodies
// of the LEDs.
func (s *Solver) Solve(b Box) (*Solution, error) {
	r, rho, err := s.exchange(b)
	if err != nil {
		return nil, err
	}
	r.prepareLooks(&rho)
	r.readFace()
	r.panels = r.dividePanels(r.usualPanel())
	return r, nil
}

// Balance is Solve without the face: where the light of b goes.
func (s *Solver) Balance(b Box) (Balance, error) {
	r, _, err := s.exchange(b)
	if err != nil {
		return Balance{}, err
	}
	return r.Balance, nil
}

// exchange follows the light to every patch.
func (s *Solver) exchange(b Box) (*Solution, reflectances, error) {
	if err := b.Validate(); err != nil {
		return nil, reflectances{}, err
	}
	bands := b.bands()
	if err := s.fits(&b, bands); err != nil {
		return nil, reflectances{}, err
	}
	r := &Solution{solver: s, box: b}
	for _, f := range s.fields {
		c := *f
		c.flux, c.colSum, c.lineSum = make([]float64, len(f.flux)), make([]float64, len(f.x)), make([]float64, len(f.y))
		r.fields = append(r.fields, &c)
	}
	b.fill(r.fields)
	g := s.grid
	r.direct = g.newPatchLight()
	r.mirrored = g.x.fold && g.y.fold
	for _, f := range r.fields {
		r.mirrored = r.mirrored && f.evenIn(&b)
	}
	for i, f := range r.fields {
		g.addDirect(s.tables[i], f, &r.direct, r.mirrored)
	}
	if r.mirrored {
		g.unfold(&r.direct)
	}
	g.perArea(&r.direct)
	flux := b.LEDFlux()
	arrive := g.close(&r.direct, flux)
	rho := g.reflectances(&b, bands)
	r.total = g.radiosity(&r.direct, &rho)
	r.Balance = g.book(&b, &r.direct, &r.total, &rho, flux, arrive)
	return r, rho, nil
}

// Fits tells whether Solve takes b: a box of the Solver's geometry, mirror
// parts and lobe.
func (s *Solver) Fits(b Box) bool { return b.Validate() == nil && s.fits(&b, b.bands()) == nil }

// fits refuses a box whose geometry is not the solver's.
func (s *Solver) fits(b *Box, bands []band) error {
	o := &s.box
	bad := func(field string) error {
		return &InputError{field, "another one than prepared", "the Solver's own", "make a new Solver for this box"}
	}
	if b.Length != o.Length || b.Width != o.Width || b.Height != o.Height {
		return bad("size")
	}
	for i := range b.Walls {
		if b.Walls[i].mirror() != o.Walls[i].mirror() {
			return bad("walls' mirror part")
		}
	}
	if (s.grid.x.fold && b.Walls[0] != b.Walls[1]) || (s.grid.y.fold && b.Walls[2] != b.Walls[3]) {
		return bad("walls' likeness")
	}
	if len(b.Rows) != len(o.Rows) {
		return bad("rows")
	}
	for i := range b.Rows {
		r, q := &b.Rows[i], &o.Rows[i]
		if r.Y != q.Y || r.X0 != q.X0 || r.Pitch != q.Pitch || r.Count != q.Count || r.Z != q.Z || r.beam() != q.beam() || r.StripWidth != q.StripWidth {
			return bad("rows")
		}
	}
	if s.grid.y.fold && !b.evenBands(bands) {
		return bad("strip bands")
	}
	if mix(bands, interval{0, b.Width}).mirror(b.Floor) != s.grid.g {
		return bad("floor's mirror part")
	}
	if b.Sheet.Lobe > 0 && (s.film == nil || b.Sheet.LobeFWHM != o.Sheet.LobeFWHM) {
		return bad("sheet's lobe")
	}
	return nil
}

// reflectances are the diffuse reflectances of all patches. The floor's
// mirror part is taken as spread evenly; then so is its diffuse part.
type reflectances struct {
	floor        []float64 // by cell in y
	sheet        float64
	x0, xl       float64
	y0, yl       float64
	floorAbsorbs []float64 // by cell in y
}

func (g *grid) reflectances(b *Box, bands []band) reflectances {
	whole := mix(bands, interval{0, b.Width})
	r := reflectances{sheet: b.Sheet.R, x0: b.Walls[0].diffuse(), xl: b.Walls[1].diffuse(), y0: b.Walls[2].diffuse(), yl: b.Walls[3].diffuse()}
	for j := range g.y.n() {
		m := whole
		if g.g == 0 {
			m = mix(bands, g.y.cell(j))
		}
		d := m.diffuse(b.Floor)
		r.floor = append(r.floor, d)
		r.floorAbsorbs = append(r.floorAbsorbs, 1-g.g-d)
	}
	return r
}

// radiosity solves E = E_direct + F·ρE on every parity that the direct light
// holds, by Gauss–Seidel sweeps to a relative change of 1e-7.
func (g *grid) radiosity(direct *patchLight, rho *reflectances) patchLight {
	o := g.offsets()
	out := g.newPatchLight()
	r := make([]float64, o.n)
	for j := range o.my {
		for i := range o.mx {
			r[o.floor+j*o.mx+i], r[o.sheet+j*o.mx+i] = rho.floor[j], rho.sheet
		}
	}
	set := func(at, n int, v float64) {
		for i := range n {
			if at >= 0 {
				r[at+i] = v
			}
		}
	}
	set(o.wallX, o.my*o.nz, rho.x0)
	set(o.wallX2, o.my*o.nz, rho.xl)
	set(o.wallY, o.mx*o.nz, rho.y0)
	set(o.wallY2, o.mx*o.nz, rho.yl)
	top := 0.0
	for _, v := range direct.sheet {
		top = max(top, v)
	}
	e0, e, b := make([]float64, o.n), make([]float64, o.n), make([]float64, o.n)
	for q := range g.parities() {
		sx, sy := g.signsOf(q)
		if !g.take(direct, sx, sy, e0, 1e-9*top) {
			continue
		}
		p := g.part(q)
		copy(e, e0)
		if q == 0 {
			p.guess(g, e0, r, e)
		}
		for i := range b {
			b[i] = r[i] * e[i]
		}
		sweep(p, e0, r, e, b, 1e-7*top)
		g.give(e, p, &out)
	}
	return out
}

// sweep repeats Gauss–Seidel until no illuminance moves by more than tol.
// Boxes that lose next to nothing converge slowly; from 100 sweeps on they
// are solved by elimination.
func sweep(p *parity, e0, r, e, b []float64, tol float64) {
	n := p.n
	for range 100 {
		worst := 0.0
		for k := range n {
			from := p.first[k]
			v := e0[k] + dot(b[from:], p.f[k*n+from:(k+1)*n])
			worst = max(worst, math.Abs(v-e[k]))
			e[k] = v
			b[k] = r[k] * v
		}
		if worst < tol {
			return
		}
	}
	a := mat.NewDense(n, n, nil)
	for k := range n {
		for j := range n {
			a.Set(k, j, -p.f[k*n+j]*r[j])
		}
		a.Set(k, k, 1+a.At(k, k))
	}
	x := mat.NewVecDense(n, e)
	var lu mat.LU
	lu.Factorize(a)
	// Only a box without any loss is singular, and Validate asks for some.
	_ = lu.SolveVecTo(x, false, mat.NewVecDense(n, e0))
}

// take projects the full-grid light on one parity; false if there is none of
// it above small.
func (g *grid) take(d *patchLight, sx, sy int, e []float64, small float64) bool {
	o := g.offsets()
	nx, nz := g.x.n(), o.nz
	some := false
	put := func(k int, v float64) {
		e[k] = v
		some = some || math.Abs(v) > small
	}
	plane := func(at int, s []float64) {
		for j := range o.my {
			for i := range o.mx {
				put(at+j*o.mx+i, fold2(sx, sy, s[j*nx+i], g.other(s, i, j, sx, 0), g.other(s, i, j, 0, sy), g.other(s, i, j, sx, sy)))
			}
		}
	}
	plane(o.floor, d.floor)
	plane(o.sheet, d.sheet)
	walls := func(at, at2 int, near, far []float64, along *axis, m, sAcross, sAlong int) {
		for j := range m {
			for l := range nz {
				a, c := near[j*nz+l], far[j*nz+l]
				a2, c2 := 0.0, 0.0
				if sAlong != 0 {
					k := along.mirror(j)*nz + l
					a2, c2 = near[k], far[k]
				}
				if sAcross != 0 {
					put(at+j*nz+l, fold2(sAcross, sAlong, a, c, a2, c2))
				} else {
					put(at+j*nz+l, fold2(0, sAlong, a, 0, a2, 0))
					put(at2+j*nz+l, fold2(0, sAlong, c, 0, c2, 0))
				}
			}
		}
	}
	walls(o.wallX, o.wallX2, d.x0, d.xl, &g.y, o.my, sx, sy)
	walls(o.wallY, o.wallY2, d.y0, d.yl, &g.x, o.mx, sy, sx)
	return some
}

// other is the value at the mirror cell in x and/or y.
func (g *grid) other(s []float64, i, j, sx, sy int) float64 {
	if sx != 0 {
		i = g.x.mirror(i)
	}
	if sy != 0 {
		j = g.y.mirror(j)
	}
	return s[j*g.x.n()+i]
}

// fold2 is the part of a that is even or odd (or whole, sign 0) in two
// directions, from the values at the point and its mirror points.
func fold2(sx, sy int, a, ax, ay, axy float64) float64 {
	half := func(s int, u, v float64) float64 {
		if s == 0 {
			return u
		}
		return (u + float64(s)*v) / 2
	}
	return half(sy, half(sx, a, ax), half(sx, ay, axy))
}

// give adds one parity's illuminance to the full grid.
func (g *grid) give(e []float64, p *parity, d *patchLight) {
	o := g.offsets()
	nx, nz := g.x.n(), o.nz
	fx, fy := float64(p.sx), float64(p.sy)
	plane := func(at int, s []float64) {
		for j := range o.my {
			for i := range o.mx {
				v := e[at+j*o.mx+i]
				s[j*nx+i] += v
				if p.sx != 0 {
					s[j*nx+g.x.mirror(i)] += fx * v
				}
				if p.sy != 0 {
					s[g.y.mirror(j)*nx+i] += fy * v
				}
				if p.sx != 0 && p.sy != 0 {
					s[g.y.mirror(j)*nx+g.x.mirror(i)] += fx * fy * v
				}
			}
		}
	}
	plane(o.floor, d.floor)
	plane(o.sheet, d.sheet)
	walls := func(at, at2 int, near, far []float64, along *axis, m, sAcross, sAlong int) {
		for j := range m {
			for l := range nz {
				v, w := e[at+j*nz+l], 0.0
				if at2 >= 0 {
					w = e[at2+j*nz+l]
				} else {
					w = float64(sAcross) * v
				}
				near[j*nz+l] += v
				far[j*nz+l] += w
				if sAlong != 0 {
					k := along.mirror(j)*nz + l
					near[k] += float64(sAlong) * v
					far[k] += float64(sAlong) * w
				}
			}
		}
	}
	walls(o.wallX, o.wallX2, d.x0, d.xl, &g.y, o.my, p.sx, p.sy)
	walls(o.wallY, o.wallY2, d.y0, d.yl, &g.x, o.mx, p.sy, p.sx)
}

// book sums the fluxes.
func (g *grid) book(b *Box, direct, total *patchLight, rho *reflectances, flux, arrive float64) Balance {
	nx, ny, nz := g.x.n(), g.y.n(), len(g.z)-1
	r := Balance{LEDFlux: flux, Direct: arrive}
	for j := range ny {
		for i := range nx {
			a := g.x.width(i) * g.y.width(j) / flux
			r.OnSheet += a * total.sheet[j*nx+i]
			r.OnFloor += a * total.floor[j*nx+i]
			r.AbsorbedFloor += a * total.floor[j*nx+i] * rho.floorAbsorbs[j]
		}
	}
	for l := range nz {
		dz := (g.z[l+1] - g.z[l]) / flux
		for j := range ny {
			a := dz * g.y.width(j)
			r.OnWalls += a * (total.x0[j*nz+l] + total.xl[j*nz+l])
			r.AbsorbedWalls += a * (total.x0[j*nz+l]*(1-b.Walls[0].Reflectance) + total.xl[j*nz+l]*(1-b.Walls[1].Reflectance))
		}
		for i := range nx {
			a := dz * g.x.width(i)
			r.OnWalls += a * (total.y0[i*nz+l] + total.yl[i*nz+l])
			r.AbsorbedWalls += a * (total.y0[i*nz+l]*(1-b.Walls[2].Reflectance) + total.yl[i*nz+l]*(1-b.Walls[3].Reflectance))
		}
	}
	s := b.Sheet
	rest := r.OnSheet - arrive
	r.Efficiency = s.T*arrive + s.tDiffuse()*rest
	r.AbsorbedSheet = (1-s.R-s.T)*arrive + (1-s.R-s.tDiffuse())*rest
	r.Bound = 0.003
	r.scale(b.FaceArea())
	return r
}
