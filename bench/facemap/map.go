package facemap

import (
	"fmt"
	"math"

	"dawnsmith/bench/measure"
	"dawnsmith/finding"
	"dawnsmith/light/hazard"
	"dawnsmith/quantity"
)

// Reading is what a meter said of the face: its mean luminance, or the lux at a
// distance on the face's axis. One of the two.
type Reading struct {
	Luminance float64 // cd/m², mean over the face
	Lux       float64 // lx, the meter facing the face's middle
	Distance  float64 // m, from the face's plane to the meter, for Lux
	U         float64 // standard uncertainty, a share of the reading; 0: 0.05
}

// Options say what the picture does not.
type Options struct {
	Reading Reading
	// Width and Height are the luminous face's size as it lies in the picture,
	// m; or PerPixel, m on the face for one pixel. All 0: unknown, and with it
	// area, cones and a reading in lux.
	Width, Height, PerPixel float64
	// Black is the sample of the covered lens, a share of full scale.
	Black float64
	// Threshold is the share of the brightest spot from which a pixel belongs to
	// the face; 0: 0.25.
	Threshold float64
	// Corners of the face: upper left, upper right, lower right, lower left; nil:
	// the largest bright area is taken.
	Corners *[4]Point
	// Use is a distance of use in m for the cones; 0: only 200 mm.
	Use float64
	// Blue is the blue-light hazard efficacy of the light in W/lm; 0: unknown.
	Blue float64
}

// Cone is the highest luminance that a cone of the hazard standard averages.
type Cone struct {
	Angle    float64        // rad, full
	Distance float64        // m
	Diameter float64        // m on the face
	Mean     quantity.Value // cd/m²
	Blue     quantity.Value // W/(m²·sr), blue-light weighted; zero where unknown
	Resolved bool           // false: the cone is smaller than a pixel of the map
}

// Map is a face in cd/m².
type Map struct {
	// Values hold rows of cells from the upper left, cd/m²; NaN outside the face.
	// They cover the box around the face, at most 200 each way.
	Values [][]float64
	// CellWidth and CellHeight in m; 0 where the size is unknown.
	CellWidth, CellHeight float64
	// Width, Height of the box around the face in m, and Area, m², of what
	// shines; zero where unknown.
	Width, Height float64
	Area          quantity.Value
	// Mean, Peak and Least in cd/m²; Peak and Least of patches a hundredth of the
	// short side wide.
	Mean, Peak, Least quantity.Value
	// PeakOverMean and LeastOverMean are ratios: no reading enters them.
	PeakOverMean, LeastOverMean quantity.Value
	// RippleX and RippleY are Michelson contrasts along the picture's x and y, 0
	// to 1.
	RippleX, RippleY quantity.Value
	Cones            []Cone
	// Clipped is the share of the face's pixels at the end of the scale; Exposure
	// is the face's mean as a share of full scale.
	Clipped, Exposure float64
	// Photo is what a run keeps of the picture.
	Photo    measure.FacePhoto
	Findings []finding.Finding
}

// Sources of uncertainty.
const (
	fromReading  = "photo reading"
	fromDistance = "photo distance of the meter"
	fromSize     = "photo size of the face"
	fromEdge     = "photo edge of the face"
	fromLens     = "photo falloff of the lens"
)

// lensHalf is the angle, rad, from the middle to a corner of the picture of an
// ordinary lens, by which the falloff is judged (common practice, no source).
const lensHalf = 32 * math.Pi / 180

// Of works a picture out. The error is a *measure.InputError.
//
// Ratios carry the camera's curve as measure.FacePhoto has it and the falloff of
// the lens, taken as uniform up to 1 − cos⁴ of the angle to the lens's axis; what
// is in cd/m² carries the reading's uncertainty too. Sizes are taken as good to
// 0.5 %, a meter's distance to 5 mm, the edge of an area to half a pixel
// (engineering estimates).
func Of(p *Picture, o Options) (*Map, error) {
	if err := o.check(p); err != nil {
		return nil, err
	}
	g := bin(p, o.Black)
	m := &Map{}
	w := &work{p: p, o: &o, m: m}
	face, err := w.face(g)
	if err != nil {
		return nil, err
	}
	if err := w.light(face); err != nil {
		return nil, err
	}
	w.cones(face)
	w.fill(face)
	w.remarks()
	finding.Sort(m.Findings)
	return m, nil
}

func (o *Options) check(p *Picture) error {
	if err := p.Check(); err != nil {
		return err
	}
	if o.Reading.U == 0 {
		o.Reading.U = 0.05
	}
	if o.Threshold == 0 {
		o.Threshold = 0.25
	}
	r := o.Reading
	for _, c := range []struct {
		field         string
		x, lo, hi     float64
		allowed, mend string
	}{
		{"reading.u", r.U, 1e-6, 0.5, "more than 0 and up to 50 %", ""},
		{"reading.luminance", r.Luminance, 0, 1e8, "up to 10⁸ cd/m²", ""},
		{"reading.lux", r.Lux, 0, 1e7, "up to 10⁷ lx", ""},
		{"width", o.Width, 0, 5, "up to 5 m", "give the size of the luminous face"},
		{"height", o.Height, 0, 5, "up to 5 m", "give the size of the luminous face"},
		{"per_pixel", o.PerPixel, 0, 0.1, "up to 100 mm a pixel", ""},
		{"black", o.Black, 0, 0.5, "0 to half of full scale", "photograph with the lens covered and take its mean"},
		{"threshold", o.Threshold, 0.02, 0.9, "2 to 90 % of the brightest spot", ""},
		{"use", o.Use, 0, 100, "up to 100 m", ""},
		{"blue", o.Blue, 0, 0.1, "up to 0.1 W/lm", ""},
	} {
		if !(c.x >= c.lo && c.x <= c.hi) {
			return bad(c.field, fmt.Sprintf("%g", c.x), c.allowed, c.mend)
		}
	}
	sized := o.Width > 0 && o.Height > 0
	switch {
	case (o.Width > 0) != (o.Height > 0) || sized && (o.Width < 0.005 || o.Height < 0.005):
		return bad("size", fmt.Sprintf("%g × %g m", o.Width, o.Height), "width and height, 5 mm to 5 m", "")
	case sized && o.PerPixel > 0:
		return bad("per_pixel", o.PerPixel, "left out where the face's size is given", "")
	case o.PerPixel > 0 && o.Corners != nil:
		return bad("per_pixel", o.PerPixel, "left out where corners are given", "give the face's size")
	case (r.Luminance > 0) == (r.Lux > 0):
		return bad("reading", "none or two", "one reading: the mean luminance, or lux at a distance", "")
	case r.Lux > 0 && !(r.Distance >= 0.02 && r.Distance <= 100):
		return bad("reading.distance", fmt.Sprintf("%g m", r.Distance), "20 mm to 100 m", "measure from the face to the meter")
	case r.Lux > 0 && !sized && o.PerPixel == 0:
		return bad("size", "unknown", "the face's size, or millimetres a pixel, where the reading is in lux", "without it lux do not tell luminance")
	}
	if o.Corners != nil {
		return o.checkCorners(p)
	}
	return nil
}

func (o *Options) checkCorners(p *Picture) error {
	c := o.Corners
	for i, q := range c {
		if !(q.X >= 0 && q.Y >= 0 && q.X <= float64(p.Width) && q.Y <= float64(p.Height)) {
			return bad("corners", fmt.Sprintf("corner %d at %g, %g", i+1, q.X, q.Y), fmt.Sprintf("within the picture, 0 to %d and 0 to %d", p.Width, p.Height), "")
		}
	}
	for i := range c {
		a, b, d := c[i], c[(i+1)%4], c[(i+2)%4]
		// Turning to the right at every corner, y down, and no corner flat.
		if !((b.X-a.X)*(d.Y-b.Y)-(b.Y-a.Y)*(d.X-b.X) > MinCells) {
			return bad("corners", "no outline that turns right at each corner", "upper left, upper right, lower right, lower left", "")
		}
	}
	return nil
}

// work is one picture in the making.
type work struct {
	p      *Picture
	o      *Options
	m      *Map
	scale  quantity.Value // cd/m² for 1 of full scale
	dx, dy float64        // m of a cell; 0 unknown
	mean   float64        // of the face in the grid's light
	top    Point          // where the peak is, cells
	reach  float64        // from the picture's middle to the face's furthest point, of the half diagonal
	flare  float64        // mean outside over mean of the face; 0 unknown
	reg    region
	tilt   float64 // unequal opposite sides, a share
}

// face takes the face out of the picture, squarely where corners are given.
func (w *work) face(g *grid) (*grid, error) {
	o, p := w.o, w.p
	half := math.Hypot(float64(p.Width), float64(p.Height)) / 2
	far := func(x, y float64) {
		w.reach = max(w.reach, math.Hypot(x-float64(p.Width)/2, y-float64(p.Height)/2)/half)
	}
	if c := o.Corners; c != nil {
		length := func(a, b Point) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }
		top, bottom, left, right := length(c[0], c[1]), length(c[3], c[2]), length(c[0], c[3]), length(c[1], c[2])
		w.tilt = max(math.Abs(top-bottom)/max(top, bottom), math.Abs(left-right)/max(left, right))
		nx, ny := int(math.Round((top+bottom)/2/float64(g.k))), int(math.Round((left+right)/2/float64(g.k)))
		if nx < MinCells || ny < MinCells {
			return nil, bad("corners", fmt.Sprintf("a face of %d × %d pixels", nx, ny), fmt.Sprintf("%d or more each way", MinCells), "take the picture closer")
		}
		for _, q := range c {
			far(q.X, q.Y)
		}
		w.dx, w.dy = o.Width/float64(nx), o.Height/float64(ny)
		return g.square(*c, nx, ny), nil
	}
	r, ok := g.find(o.Threshold)
	if !ok || r.x1-r.x0 < MinCells || r.y1-r.y0 < MinCells {
		return nil, bad("picture", "no bright face", fmt.Sprintf("a lit face of %d pixels or more each way, brighter than what surrounds it", MinCells), "check the black level, take the picture closer, or give its corners")
	}
	w.reg = r
	k := float64(g.k)
	for _, q := range [4]Point{{float64(r.x0), float64(r.y0)}, {float64(r.x1), float64(r.y0)}, {float64(r.x0), float64(r.y1)}, {float64(r.x1), float64(r.y1)}} {
		far(q.X*k, q.Y*k)
	}
	if o.Width > 0 {
		w.dx, w.dy = o.Width/float64(r.x1-r.x0), o.Height/float64(r.y1-r.y0)
	} else {
		w.dx, w.dy = o.PerPixel*k, o.PerPixel*k
	}
	return g.crop(r.x0, r.y0, r.x1, r.y1), nil
}

// falloff is the standard uncertainty of a ratio over the face from the lens.
func (w *work) falloff() float64 {
	return (1 - math.Pow(math.Cos(math.Atan(w.reach*math.Tan(lensHalf))), 4)) / math.Sqrt(12)
}

// light finds mean, peak, least and scale.
func (w *work) light(g *grid) error {
	m := w.m
	n, clipped := 0, 0.0
	for i, v := range g.v {
		if g.inside(i) {
			w.mean += v
			n++
			if g.clip != nil {
				clipped += float64(g.clip[i])
			}
		}
	}
	w.mean /= float64(n)
	m.Clipped, m.Exposure = clipped/float64(n), w.mean
	if !(w.mean > 1e-6) {
		return bad("picture", "a face as dark as the black level", "a lit face", "check the black level")
	}
	w.flare = max(0, w.reg.outside/w.mean)
	high, low, x, y, ok := g.patches()
	if !ok {
		return bad("picture", "a face with no room for a patch", "a face without holes everywhere", "lower the threshold, or give its corners")
	}
	w.top = Point{float64(x), float64(y)}
	high, low = max(high, w.mean), min(max(low, 0), w.mean)
	if w.dx > 0 {
		m.Width, m.Height = w.dx*float64(g.w), w.dy*float64(g.h)
		cell := w.dx * w.dy
		edge := float64(w.reg.edge)
		if w.o.Corners != nil {
			edge = 2 * float64(g.w+g.h)
		}
		a := float64(n) * cell
		m.Area = quantity.Measured(a, 0.005*math.Sqrt2*a, fromSize).Add(quantity.Measured(0, edge*0.5*cell/math.Sqrt(3), fromEdge))
	}
	w.level(g)
	m.Mean = w.scale.Scale(w.mean)
	m.Photo = measure.FacePhoto{Max: high, Mean: w.mean, Min: low, Linear: true}
	var err error
	if m.PeakOverMean, err = w.ratio(high / w.mean); err != nil {
		return err
	}
	if m.LeastOverMean, err = w.ratio(low / w.mean); err != nil {
		return err
	}
	m.Peak, m.Least = m.Mean.Mul(m.PeakOverMean), m.Mean.Mul(m.LeastOverMean)
	noise := 0.003
	for i, turned := range []bool{false, true} {
		c := ripple(g.profile(turned))
		u := 0.05
		if w.p.Coded {
			u = 0.20
		}
		// A contrast scales with the slope of the camera's curve.
		v := quantity.Measured(c, u*c+noise, "photo camera's curve")
		if i == 0 {
			m.RippleX = v
		} else {
			m.RippleY = v
		}
	}
	return nil
}

// ratio gives a luminance over the mean its uncertainty; measure.FacePhoto knows
// how well cameras keep ratios.
func (w *work) ratio(r float64) (quantity.Value, error) {
	f := measure.FacePhoto{Max: max(r, 1), Mean: 1, Min: min(r, 1), Linear: true}
	if w.p.Coded {
		top := 1.1 * f.Max // well below full scale
		f = measure.FacePhoto{Max: encode(f.Max / top), Mean: encode(1 / top), Min: encode(f.Min / top), Full: 1}
	}
	high, low, _, err := f.HotSpot("photo")
	if err != nil {
		return quantity.Value{}, err
	}
	v := high
	if r < 1 {
		if v = low; f.Min <= 0 {
			v = quantity.Measured(0, 0.01, "photo camera's curve, dark end")
		}
	}
	return v.Add(quantity.Measured(0, w.falloff()*r, fromLens)), nil
}

// level turns the reading into cd/m² for full scale.
//
// Formula for lux: E = Σ L·cos²θ/r²·dA with cos θ = d/r over the face's cells,
// seen from the axis through the middle of the box around it (Lambert's cosine
// law and the inverse square law for each cell; any textbook of photometry).
func (w *work) level(g *grid) {
	r := w.o.Reading
	if r.Luminance > 0 {
		w.scale = quantity.Measured(r.Luminance/w.mean, r.U*r.Luminance/w.mean, fromReading)
		return
	}
	seen := func(d, size float64) float64 {
		sum := 0.0
		for j := range g.h {
			y := (float64(j) + 0.5 - float64(g.h)/2) * w.dy * size
			for i := range g.w {
				if k := j*g.w + i; g.inside(k) {
					x := (float64(i) + 0.5 - float64(g.w)/2) * w.dx * size
					q := d*d + x*x + y*y
					sum += g.v[k] * d * d / (q * q)
				}
			}
		}
		return sum * w.dx * w.dy * size * size
	}
	s := seen(r.Distance, 1)
	k := r.Lux / s
	du := math.Abs(r.Lux/seen(r.Distance+0.005, 1) - k)
	su := math.Abs(r.Lux/seen(r.Distance, 1.005) - k)
	w.scale = quantity.Measured(k, r.U*k, fromReading).Add(quantity.Measured(0, du, fromDistance)).Add(quantity.Measured(0, su, fromSize))
}

// cones averages as the hazard standard does.
func (w *work) cones(g *grid) {
	if w.dx == 0 {
		return
	}
	at := []float64{0.2}
	if w.o.Use > 0 && w.o.Use != 0.2 {
		at = append(at, w.o.Use)
	}
	long, _ := hazard.Cone(hazard.LongestTime)
	for _, d := range at {
		for _, angle := range []float64{hazard.SmallAngle, long} {
			c := Cone{Angle: angle, Distance: d, Diameter: angle * d}
			v, ok := g.disc(c.Diameter, w.dx, w.dy)
			c.Resolved = ok
			r, err := w.ratio(max(v, 0) / w.mean)
			if err != nil {
				continue // light has refused such a picture
			}
			c.Mean = w.m.Mean.Mul(r)
			if w.o.Blue > 0 {
				c.Blue = c.Mean.Scale(w.o.Blue)
			}
			w.m.Cones = append(w.m.Cones, c)
		}
	}
}

// shownCells is the most cells of a map each way.
const shownCells = 200

// fill writes the map, at most shownCells each way.
func (w *work) fill(g *grid) {
	shrink := max(1, float64(max(g.w, g.h))/shownCells)
	nx, ny := max(1, int(float64(g.w)/shrink)), max(1, int(float64(g.h)/shrink))
	w.m.CellWidth, w.m.CellHeight = w.m.Width/float64(nx), w.m.Height/float64(ny)
	for j := range ny {
		row := make([]float64, nx)
		for i := range row {
			// Cells of the grid count by the part of them that lies in this one.
			sum, n := 0.0, 0.0
			x0, x1 := float64(i)*float64(g.w)/float64(nx), float64(i+1)*float64(g.w)/float64(nx)
			y0, y1 := float64(j)*float64(g.h)/float64(ny), float64(j+1)*float64(g.h)/float64(ny)
			for y := int(y0); y < min(g.h, int(math.Ceil(y1))); y++ {
				high := min(y1, float64(y+1)) - max(y0, float64(y))
				for x := int(x0); x < min(g.w, int(math.Ceil(x1))); x++ {
					if c := y*g.w + x; g.inside(c) {
						part := high * (min(x1, float64(x+1)) - max(x0, float64(x)))
						sum += part * g.v[c]
						n += part
					}
				}
			}
			row[i] = math.NaN()
			if n > 1e-6 {
				row[i] = max(0, sum/n*w.scale.X)
			}
		}
		w.m.Values = append(w.m.Values, row)
	}
}

// BlueGroup is the blue-light risk group of the face at a distance that the map
// has cones for: exempt by the cone of 100 mrad, else by that of 11 mrad. ok is
// false without such cones or without the light's blue-light efficacy. A
// calculation aid, not an assessment by a laboratory.
//
// Source: IEC 62471:2006 clause 6.1, through light/hazard. Not modelled: the 1.7
// mrad cone of group 2, which a lit face with its sheet on never comes near.
func (m *Map) BlueGroup(distance float64) (g hazard.Group, ok bool) {
	var small, long float64
	for _, c := range m.Cones {
		if c.Distance == distance && c.Blue.X > 0 {
			if c.Angle == hazard.SmallAngle {
				small = c.Blue.X
			} else {
				long = c.Blue.X
			}
		}
	}
	switch {
	case small == 0 || long == 0:
		return g, false
	case hazard.RadianceGroup(long) == hazard.Exempt:
		return hazard.Exempt, true
	}
	return max(hazard.RG1, hazard.RadianceGroup(small)), true
}
