package optics

import (
	"fmt"
	"math"
)

// Vec is a point (m) or a direction in the lamp frame: origin at the centre
// of the sheet's outer face, X along the box's length, Y along its width
// (up when hung), Z outwards.
type Vec struct{ X, Y, Z float64 }

func (a Vec) sub(b Vec) Vec            { return Vec{a.X - b.X, a.Y - b.Y, a.Z - b.Z} }
func (a Vec) add(b Vec) Vec            { return Vec{a.X + b.X, a.Y + b.Y, a.Z + b.Z} }
func (a Vec) times(k float64) Vec      { return Vec{a.X * k, a.Y * k, a.Z * k} }
func (a Vec) dot(b Vec) float64        { return a.X*b.X + a.Y*b.Y + a.Z*b.Z }
func (a Vec) cross(b Vec) Vec          { return Vec{a.Y*b.Z - a.Z*b.Y, a.Z*b.X - a.X*b.Z, a.X*b.Y - a.Y*b.X} }
func (a Vec) norm() float64            { return math.Sqrt(a.dot(a)) }
func (a Vec) unit() Vec                { return a.times(1 / a.norm()) }
func (a Vec) finite() bool             { s := a.X + a.Y + a.Z; return !math.IsNaN(s) && !math.IsInf(s, 0) }
func angleBetween(a, b Vec) float64    { return math.Atan2(a.cross(b).norm(), a.dot(b)) }
func clampf(x, lo, hi float64) float64 { return max(lo, min(hi, x)) }

// Target is a small flat receiver: a meter head or the plane of an eye.
type Target struct {
	Position Vec // m, lamp frame
	Normal   Vec // unit vector the receiver faces along, for an eye its gaze
	Up       Vec // unit vector, up for the person; needed only with a View
	View     *View
}

// View limits what an eye sees: planes through the eye that cut off light
// from more than Up above and more than Down below the line of sight.
type View struct {
	Up float64 // rad, 0 to π/2
	// Down is at most π/2, rad, and negative where something level, such as a
	// monitor's upper edge, hides what lies below a line above that of sight;
	// −π/2 hides everything.
	Down float64
}

// StandardView is 50° up and 70° down for the resting head. Bright light
// makes people squint, which lowers the upper limit.
//
// Source: CIE S 026:2018 discusses a field of view of this order (from
// memory); a lexicon of psychology gives 50°, an industry lighting guide 55°.
func StandardView() View { return View{Up: 50 * math.Pi / 180, Down: 70 * math.Pi / 180} }

// Validate refuses targets no meter can be: the error is an *InputError.
func (t Target) Validate() error {
	if !t.Position.finite() || !t.Normal.finite() || !t.Up.finite() {
		return &InputError{"target", fmt.Sprint(t), "finite coordinates", "give position and normal in metres"}
	}
	if t.Position.Z < 1e-3 {
		return &InputError{"target.position.z", fmt.Sprintf("%.4g", t.Position.Z), "at least 0.001 m in front of the sheet", "move the target to the lit side"}
	}
	if math.Abs(t.Normal.norm()-1) > 1e-6 {
		return &InputError{"target.normal", fmt.Sprint(t.Normal), "a unit vector", "divide it by its length"}
	}
	if t.View != nil {
		if math.Abs(t.Up.norm()-1) > 1e-6 || t.Up.cross(t.Normal).norm() < 1e-3 {
			return &InputError{"target.up", fmt.Sprint(t.Up), "a unit vector not along the gaze", "give the person's up"}
		}
		const deg = 180 / math.Pi
		return firstOf(within("view.up", t.View.Up*deg, 0, 90, "give degrees above the line of sight"),
			within("view.down", t.View.Down*deg, -90, 90, "give degrees below the line of sight"))
	}
	return nil
}

// planes are the inward normals of the half spaces, through the target, from
// which light counts: in front of the receiver and, with a view, below the
// brow and above the cheek. Light from direction v (target to source) counts
// if v·plane ≥ 0 for all.
func (t *Target) planes(buf []Vec) []Vec {
	buf = append(buf, t.Normal)
	if t.View != nil {
		// Up, made square to the gaze.
		u := t.Up.sub(t.Normal.times(t.Up.dot(t.Normal))).unit()
		sinU, cosU := math.Sincos(t.View.Up)
		sinD, cosD := math.Sincos(t.View.Down)
		buf = append(buf, t.Normal.times(sinU).sub(u.times(cosU)), t.Normal.times(sinD).add(u.times(cosD)))
	}
	return buf
}

// Mount places the lamp before a person. The world frame has its origin at
// the eye, X right, Y up, Z from the lamp towards the person; the lamp's
// centre is at (−Offset, Height, −Distance).
type Mount struct {
	Height   float64 // m, lamp centre above the eye
	Distance float64 // m, lamp centre in front of the eye, horizontally
	Offset   float64 // m, eye from the lamp's middle, along the lamp's X
	Tilt     float64 // rad, face turned down towards the person
}

// Eye is the plane of the eye in the lamp frame, gazing pitch rad above the
// horizontal, no view cut:
//
//	P = (o, −h·cos t + D·sin t, h·sin t + D·cos t)
//	n = −f·cos g + u·sin g,  u = (0, cos t, −sin t) up,  f = (0, sin t, cos t) lamp to person
func (m Mount) Eye(pitch float64) Target {
	st, ct := math.Sincos(m.Tilt)
	sg, cg := math.Sincos(pitch)
	u, f := Vec{0, ct, -st}, Vec{0, st, ct}
	n := u.times(sg).sub(f.times(cg))
	up := u.times(cg).add(f.times(sg)) // square to the gaze
	return Target{Position: m.position(), Normal: n, Up: up}
}

func (m Mount) position() Vec {
	st, ct := math.Sincos(m.Tilt)
	return Vec{m.Offset, -m.Height*ct + m.Distance*st, m.Height*st + m.Distance*ct}
}

// Meter is a meter held at the eye and turned to the centre of the face.
func (m Mount) Meter() Target {
	p := m.position()
	st, ct := math.Sincos(m.Tilt)
	return Target{Position: p, Normal: p.unit().times(-1), Up: Vec{0, ct, -st}}
}

// Elevation is the angle, rad, of the face's centre above the line of sight
// of a gaze pitched by pitch rad (negative: below).
func (m Mount) Elevation(pitch float64) float64 {
	return math.Atan2(m.Height, m.Distance) - pitch
}

// Eccentricity is the angle, rad, between the line of sight and the centre of
// the face.
func (m Mount) Eccentricity(pitch float64) float64 {
	t := m.Eye(pitch)
	return angleBetween(t.Normal, t.Position.times(-1))
}

// clip keeps the part of poly (relative to the target) with v·n ≥ 0
// (Sutherland & Hodgman 1974).
func clip(poly []Vec, n Vec, out []Vec) []Vec {
	out = out[:0]
	for i, v := range poly {
		p := poly[(i+len(poly)-1)%len(poly)]
		dv, dp := v.dot(n), p.dot(n)
		if (dv >= 0) != (dp >= 0) {
			out = append(out, p.add(v.sub(p).times(dp/(dp-dv))))
		}
		if dv >= 0 {
			out = append(out, v)
		}
	}
	return out
}

// PolygonIlluminance is the illuminance, lx, at the target from a flat polygon
// of uniform luminance lum, cd/m², its corners (lamp frame, m) in order:
//
//	E = (L/2)·|Σ Θ_k·(Γ_k·n)|,  r_k = V_k − P,  Γ_k = (r_k×r_k+1)/|r_k×r_k+1|,
//	Θ_k = angle between r_k and r_k+1
//
// clipped first at the receiver's horizon and at the limits of its view.
//
// Validity: exact; the target must not lie in the polygon. Source: Lambert's
// contour formula; Howell et al., Thermal Radiation Heat Transfer, contour
// integration.
func PolygonIlluminance(lum float64, corners []Vec, t Target) float64 {
	var pb [3]Vec
	var b1, b2 [16]Vec
	poly, spare := b1[:0], b2[:0]
	for _, c := range corners {
		poly = append(poly, c.sub(t.Position))
	}
	for _, n := range t.planes(pb[:0]) {
		clipped := clip(poly, n, spare)
		poly, spare = clipped, poly
	}
	s := 0.0
	for i, r := range poly {
		q := poly[(i+1)%len(poly)]
		c := r.cross(q)
		if l := c.norm(); l > 0 {
			s += math.Atan2(l, r.dot(q)) * c.dot(t.Normal) / l
		}
	}
	return lum / 2 * math.Abs(s)
}

// FaceIlluminance is PolygonIlluminance of a length × width m face seen from
// the lit side.
func FaceIlluminance(lum, length, width float64, t Target) float64 {
	if t.Position.Z <= 0 {
		return 0
	}
	x, y := length/2, width/2
	return PolygonIlluminance(lum, []Vec{{-x, -y, 0}, {x, -y, 0}, {x, y, 0}, {-x, y, 0}}, t)
}

// OnAxis is the illuminance, lx, at distance d m straight before the centre
// of a length × width m face of uniform luminance lum, cd/m²: E = π·lum·4q.
func OnAxis(lum, length, width, d float64) float64 {
	return math.Pi * lum * 4 * quarter(length/2, width/2, d)
}

// DistanceFor is the distance, m, on axis at which a uniform face gives lux,
// the equal-target distance. A face gives at most π·lum, close up: more is
// refused with an *InputError.
func DistanceFor(lux, lum, length, width float64) (float64, error) {
	most := math.Pi * lum
	if !(lux > 0 && lux < most) || math.IsInf(most, 0) {
		return 0, &InputError{"target illuminance", fmt.Sprintf("%.4g lx", lux), fmt.Sprintf("over 0, under %.4g lx, what the face gives at its surface", most), "ask for less light or a brighter face"}
	}
	// E falls steadily with d: bisect on ln d.
	lo, hi := math.Log(1e-6*min(length, width)), math.Log(math.Sqrt(lum*length*width/lux))
	for range 60 {
		mid := (lo + hi) / 2
		if OnAxis(lum, length, width, math.Exp(mid)) > lux {
			lo = mid
		} else {
			hi = mid
		}
	}
	return math.Exp((lo + hi) / 2), nil
}

// FarFieldError is how much too high the inverse square law I₀/d² reads at d m
// on axis of a uniform length × width m face, as a share of the true value.
// It is under 1 % from five times the longest side on.
func FarFieldError(length, width, d float64) float64 {
	return length*width/(d*d)/(math.Pi*4*quarter(length/2, width/2, d)) - 1
}

// FarFieldFrom is the distance, m, on axis of a uniform length × width m face
// from which on the inverse square law reads too high by share at most
// (0 < share < 1): FarFieldError solved for d.
func FarFieldFrom(length, width, share float64) float64 {
	// Far off the error goes as (length² + width²)/(6·d²), and never over 1/d².
	lo, hi := math.Log(0.01*min(length, width)), math.Log(math.Hypot(length, width)/math.Sqrt(share))
	for range 40 {
		if mid := (lo + hi) / 2; FarFieldError(length, width, math.Exp(mid)) > share {
			lo = mid
		} else {
			hi = mid
		}
	}
	return math.Exp(hi)
}

// SolidAngle is what a length × width m face covers at the target's position,
// sr, the view cut ignored.
//
// Source: signed sum of four corner rectangles, each
// atan(ab/(d√(a²+b²+d²))).
func SolidAngle(length, width float64, p Vec) float64 {
	if p.Z <= 0 {
		return 0
	}
	f := func(a, b float64) float64 { return math.Atan(a * b / (p.Z * math.Sqrt(a*a+b*b+p.Z*p.Z))) }
	x1, x2 := -length/2-p.X, length/2-p.X
	y1, y2 := -width/2-p.Y, width/2-p.Y
	return f(x2, y2) - f(x1, y2) - f(x2, y1) + f(x1, y1)
}
