package optics

import "math"

// A fan is the set of directions inside the box that a film gathers towards
// one direction of view: 10 angles in the plane of direction cosines × 8
// radii out to 3.5σ or the horizon, weights scaled so that even light comes
// out exactly.
const (
	fanRadii  = 8
	fanAngles = 10
)

type fanRay struct{ sx, sy, weight float64 }

// fan fills buf with the rays seen behind the film along (ox, oy). turn, 0 to
// 1, rotates them by that share of the angle between two: fans of
// neighbouring places are turned apart so that their errors cancel.
func (f *Film) fan(ox, oy, turn float64, buf []fanRay) []fanRay {
	buf = buf[:0]
	sum := 0.0
	k := 1 / (2 * f.sigma * f.sigma)
	o2 := ox*ox + oy*oy
	s, c := math.Sincos(2 * math.Pi * turn / fanAngles)
	for range fanAngles {
		along := ox*c + oy*s
		reach := min(3.5*f.sigma, math.Sqrt(max(0, along*along+1-o2))-along)
		for i := range fanRadii {
			r := reach * fanNode[i]
			x, y := ox+r*c, oy+r*s
			v := reach * fanWeight[i] * r * math.Exp(-r*r*k) * f.inverseN(x*x+y*y)
			sum += v
			buf = append(buf, fanRay{x, y, v})
		}
		s, c = s*fanCos+c*fanSin, c*fanCos-s*fanSin
	}
	if sum == 0 {
		return buf
	}
	g := f.brightness(math.Sqrt(o2)) / sum
	for i := range buf {
		buf[i].weight *= g
	}
	return buf
}

// golden is the turn from one place to the next that keeps fans apart.
const golden = 0.6180339887498949

func turnOf(place int) float64 {
	t := golden * float64(place)
	return t - math.Floor(t)
}

// One step of fanAngles round the circle.
var fanSin, fanCos = math.Sincos(2 * math.Pi / fanAngles)

// Gauss–Legendre on [0, 1], eight points.
var (
	fanNode   = [fanRadii]float64{0.01985507175123188, 0.10166676129318664, 0.2372337950418355, 0.4082826787521751, 0.5917173212478249, 0.7627662049581645, 0.8983332387068134, 0.9801449282487681}
	fanWeight = [fanRadii]float64{0.05061426814518813, 0.11119051722668724, 0.15685332293894363, 0.18134189168918100, 0.18134189168918100, 0.15685332293894363, 0.11119051722668724, 0.05061426814518813}
)

// bounces is how many mirror walls at 0 and l a straight line to x crosses.
func bounces(x, l float64) int {
	n := int(math.Floor(x / l))
	return max(n, -n)
}

// unfold brings x of the unfolded lattice back into 0…l.
func unfold(x, l float64) float64 {
	n := math.Floor(x / l)
	x -= n * l
	if int(n)%2 != 0 {
		x = l - x
	}
	return x
}

// ray follows the light that reaches (x, y) on the sheet with direction
// cosines s back to the floor and, mirrored there, to the sheet.
func (p *panels) ray(floor, back *way, x, y, sx, sy, k float64) {
	t := p.b.Height / math.Sqrt(max(1e-6, 1-sx*sx-sy*sy))
	n := bounces(x-t*sx, p.b.Length) + bounces(y-t*sy, p.b.Width)
	floor[min(n, nearBounces+1)] += k
	n = bounces(x-2*t*sx, p.b.Length) + bounces(y-2*t*sy, p.b.Width)
	back[min(n, nearBounces+1)] += k
}

// look gathers ray over the fan towards (ox, oy), as luminance.
func (p *panels) look(floor, back *way, x, y, ox, oy, turn, k float64) {
	var buf [fanRadii * fanAngles]fanRay
	for _, r := range p.film.fan(ox, oy, turn, buf[:]) {
		p.ray(floor, back, x, y, r.sx, r.sy, k*r.weight/math.Pi)
	}
}

// glow is the LEDs smeared to planes of light.
type glow struct {
	planes []glowPlane
}

const glowBins = 24

type glowPlane struct {
	h, m    float64
	density [glowBins * glowBins]float64 // luminance along the normal per lumen, 1/(m² sr)
}

// newGlow spreads every LED over its cell of pitch × row spacing.
func newGlow(b *Box, fs []*field, total float64) glow {
	var g glow
	bx, by := b.Length/glowBins, b.Width/glowBins
	for _, f := range fs {
		p := glowPlane{h: b.Height - f.z, m: f.m}
		x, y := cells(f.x, b.Length), cells(f.y, b.Width)
		cx, cy := overlaps(x, bx), overlaps(y, by)
		k := (f.m + 1) / (2 * math.Pi * bx * by * total)
		for j, line := range cy {
			for n, oy := range line {
				if oy == 0 {
					continue
				}
				for i, col := range cx {
					v := k * oy * f.flux[j*len(f.x)+i]
					for m, ox := range col {
						p.density[n*glowBins+m] += v * ox
					}
				}
			}
		}
		g.planes = append(g.planes, p)
	}
	return g
}

// cells gives every position the stretch half way to its neighbours.
func cells(x []float64, l float64) []interval {
	c := make([]interval, len(x))
	for i := range x {
		a, b := 0.0, l
		if i > 0 {
			a = (x[i-1] + x[i]) / 2
		}
		if i < len(x)-1 {
			b = (x[i] + x[i+1]) / 2
		}
		if i == 0 && i < len(x)-1 {
			a = max(0, 2*x[i]-b)
		}
		if i == len(x)-1 && i > 0 {
			b = min(l, 2*x[i]-a)
		}
		c[i] = interval{a, b}
	}
	return c
}

// overlaps gives each cell's share in each of the glow's bins.
func overlaps(c []interval, bin float64) [][glowBins]float64 {
	o := make([][glowBins]float64, len(c))
	for i, v := range c {
		for n := range glowBins {
			d := min(v.b, float64(n+1)*bin) - max(v.a, float64(n)*bin)
			if d > 0 {
				o[i][n] = d / v.len()
			}
		}
	}
	return o
}

// look gathers the LED planes over the fan towards (ox, oy), as luminance per
// lumen.
func (g *glow) look(p *panels, dst *way, x, y, ox, oy, turn, k float64) {
	var buf [fanRadii * fanAngles]fanRay
	l, w := p.b.Length, p.b.Width
	for _, r := range p.film.fan(ox, oy, turn, buf[:]) {
		c := math.Sqrt(max(1e-6, 1-r.sx*r.sx-r.sy*r.sy))
		for i := range g.planes {
			q := &g.planes[i]
			t := q.h / c
			px, py := x-t*r.sx, y-t*r.sy
			n := bounces(px, l) + bounces(py, w)
			bx := min(glowBins-1, int(unfold(px, l)/l*glowBins))
			by := min(glowBins-1, int(unfold(py, w)/w*glowBins))
			v := q.density[by*glowBins+bx]
			if q.m != 1 {
				v *= math.Pow(c, q.m-1)
			}
			dst[min(n, nearBounces+1)] += k * r.weight * v
		}
	}
}
