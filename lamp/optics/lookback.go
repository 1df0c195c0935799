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

// spot is where on a panel of size dx × dy the i-th ray of a fan ends: rays
// are spread over the panel so that one fan averages over directions and over
// the panel. Rays of one radius at neighbouring angles end at opposite places,
// pairs of them by a low-discrepancy sequence (Roberts 2018).
func spot(i int, dx, dy float64) (x, y float64) {
	angle, radius := i/fanRadii, i%fanRadii
	n := float64(angle/2) + 5*float64(radius)
	u, v := 0.7548776662466927*n+0.5, 0.5698402909980532*n+0.5
	x, y = (u-math.Floor(u)-0.5)*dx, (v-math.Floor(v)-0.5)*dy
	if angle%2 == 1 {
		return -x, -y
	}
	return x, y
}

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

// unfold brings x, in lattice cells, back into the box: the number of mirror
// walls a straight line from the box to x crosses, and the place in 0…1.
func unfold(x float64) (bounces int, u float64) {
	const far = 1 << 20
	n := int(x+far) - far // floor
	u = x - float64(n)
	if n%2 != 0 {
		u = 1 - u
	}
	if n < 0 {
		n = -n
	}
	return n, u
}

// ray follows the light that reaches (x, y) on the sheet with direction
// cosines s back to the floor and, mirrored there, to the sheet.
func (p *panels) ray(floor, back *zoneWay, x, y, sx, sy, k float64) {
	t := p.b.Height / math.Sqrt(max(1e-6, 1-sx*sx-sy*sy))
	il, iw := 1/p.b.Length, 1/p.b.Width
	x0, y0 := p.zones.core.a*il, p.zones.coreY.a*iw
	for _, to := range [2]*zoneWay{floor, back} {
		x, y = x-t*sx, y-t*sy
		nx, u := unfold(x * il)
		ny, v := unfold(y * iw)
		n := min(nx+ny, nearBounces+1)
		to.all[n] += k
		if u > x0 && u < 1-x0 && v > y0 && v < 1-y0 {
			to.core[n] += k
		}
	}
}

// look gathers ray over a fan and a panel of size dx × dy, as luminance.
func (p *panels) look(floor, back *zoneWay, x, y, dx, dy float64, fan []fanRay, k float64) {
	for i, r := range fan {
		ox, oy := spot(i, dx, dy)
		p.ray(floor, back, x+ox, y+oy, r.sx, r.sy, k*r.weight/math.Pi)
	}
}

// glow is the LEDs smeared to planes of light.
type glow struct {
	planes []glowPlane
}

// glowBins is how finely, each way; coarser bins would carry light of the
// outermost LEDs into the walls.
const glowBins = 64

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
			for i, col := range cx {
				v := k * f.flux[j*len(f.x)+i]
				if v == 0 {
					continue
				}
				for n, oy := range line.share {
					row := p.density[(line.first+n)*glowBins+col.first:]
					for m, ox := range col.share {
						row[m] += v * oy * ox
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

// binned is a cell's share in each of the glow's bins from first on.
type binned struct {
	first int
	share []float64
}

func overlaps(c []interval, bin float64) []binned {
	o := make([]binned, len(c))
	for i, v := range c {
		o[i].first = min(int(v.a/bin), glowBins-1)
		for n := o[i].first; n < glowBins; n++ {
			d := min(v.b, float64(n+1)*bin) - max(v.a, float64(n)*bin)
			if d <= 0 {
				break
			}
			o[i].share = append(o[i].share, d/v.len())
		}
	}
	return o
}

// look gathers the LED planes over a fan and a panel of size dx × dy, as
// luminance per lumen.
func (g *glow) look(p *panels, dst *way, cx, cy, dx, dy float64, fan []fanRay, k float64) {
	il, iw := 1/p.b.Length, 1/p.b.Width
	for j, r := range fan {
		ox, oy := spot(j, dx, dy)
		x, y := cx+ox, cy+oy
		c := math.Sqrt(max(1e-6, 1-r.sx*r.sx-r.sy*r.sy))
		for i := range g.planes {
			q := &g.planes[i]
			t := q.h / c
			nx, u := unfold((x - t*r.sx) * il)
			ny, v := unfold((y - t*r.sy) * iw)
			dst[min(nx+ny, nearBounces+1)] += k * r.weight * q.at(u, v, c)
		}
	}
}
