package optics

import (
	"fmt"
	"math"

	"dawnsmith/finding"
)

// Glare is how uncomfortable the face is to an eye. UGR and DGP only compare
// designs of about the same size; neither is a verdict.
type Glare struct {
	SolidAngle float64 // sr, of the part of the face in view
	Mean       float64 // cd/m², of that part towards the eye, by solid angle
	Vertical   float64 // lx, on the eye's plane
	UGR        float64 // NaN never: 0 when nothing is in view
	UGRInRange bool    // SolidAngle within CIE 117's 0.0003 to 0.1 sr
	DGP        float64
	DGPInRange bool // light at the eye, room included, over DGPLeast

	guth       float64 // Σ L²ω/p²
	background float64 // cd/m²
}

// DGPLeast is the vertical illuminance, room included, under which DGP has not
// been tested, lx (Wienold & Christoffersen 2006).
const DGPLeast = 380.0

// UGRLeast and UGRMost are CIE 117's range of source sizes, sr (quoted from memory of the report).
const (
	UGRLeast = 0.0003
	UGRMost  = 0.1
)

// GuthIndex is the position index p of a source seen sigma rad off the line of
// sight, tau rad around it from straight up (0) over the side (π/2); below
// the line of sight tau counts as π/2:
//
//	p = exp[ (35.2 − 0.31889τ − 1.22e^(−2τ/9))·10⁻³σ + (21 + 0.26667τ − 0.002963τ²)·10⁻⁵σ² ]   (degrees)
//
// capped at 16. Source: Levin, J. IES 1975 (coefficients from memory; up to
// 12 % off Guth's plot); below the line of sight Iwata & Osterhaus, CIE 2010.
func GuthIndex(sigma, tau float64) float64 {
	const deg = 180 / math.Pi
	s, t := sigma*deg, clampf(math.Abs(tau)*deg, 0, 90)
	e := (35.2-0.31889*t-1.22*math.Exp(-2*t/9))*1e-3*s + (21+0.26667*t-0.002963*t*t)*1e-5*s*s
	return min(16, math.Exp(min(e, 10)))
}

// Glare rates the face for an eye at t with line of sight t.Normal; parts
// hidden by t.View are ignored. background is the luminance, cd/m², of the
// room around the lamp: the indirect illuminance at the eye over π.
//
//	UGR = 8·log₁₀[ (0.25/L_b)·Σ L²ω/p² ]
//	DGP = 5.87e-5·E_v + 0.0918·log₁₀(1 + Σ L²ω/(E_v^1.87·p²)) + 0.16
//
// E_v is the face's light and the background's, π·background. Source: CIE
// 117:1995; Wienold & Christoffersen, Energy and Buildings 38 (2006) 743
// (formula from memory). Not meant for a single task lamp near by: halving L
// at equal light lowers UGR by 2.4, that is what the figure is good for. The
// error is an *InputError.
func (r *Solution) Glare(t Target, background float64) (Glare, error) {
	if err := t.Validate(); err != nil {
		return Glare{}, err
	}
	if t.Up.norm() == 0 {
		return Glare{}, &InputError{"target.up", "missing", "the person's up", "give a unit vector"}
	}
	if err := within("background", background, 0.1, 1e5, "give the luminance of the room around the lamp in cd/m²"); err != nil {
		return Glare{}, err
	}
	ev, err := r.Illuminance(t)
	if err != nil {
		return Glare{}, err
	}
	g := Glare{Vertical: ev, background: background}
	var buf [3]Vec
	planes := t.planes(buf[:0])
	up := t.Up.sub(t.Normal.times(t.Up.dot(t.Normal))).unit()
	sum := 0.0
	l, w := r.box.Length, r.box.Width
	for _, p := range r.panelsFor(min(t.Position.Z/4, r.usualPanel())) {
		c := Vec{p.x - l/2, p.y - w/2, 0}
		v := c.sub(t.Position) // eye to panel
		hidden := false
		for _, n := range planes {
			hidden = hidden || v.dot(n) <= 0
		}
		if hidden {
			continue
		}
		d := v.norm()
		omega := p.dx * p.dy * -v.Z / (d * d * d)
		lum := r.LuminanceAt(p.x, p.y, -v.X/d, -v.Y/d)
		sigma := math.Acos(clampf(v.dot(t.Normal)/d, -1, 1))
		tau := math.Pi / 2
		if high := v.dot(up); high > 0 {
			side := v.sub(t.Normal.times(v.dot(t.Normal))).sub(up.times(high)).norm()
			tau = math.Atan2(side, high)
		}
		q := GuthIndex(sigma, tau)
		g.SolidAngle += omega
		g.Mean += lum * omega
		sum += lum * lum * omega / (q * q)
	}
	g.guth = sum
	if g.SolidAngle > 0 {
		g.Mean /= g.SolidAngle
	}
	g.UGRInRange = g.SolidAngle >= UGRLeast && g.SolidAngle <= UGRMost
	return g.rated(), nil
}

// Total is the light at the eye, room included, lx.
func (g Glare) Total() float64 { return g.Vertical + math.Pi*g.background }

// rated is g with UGR and DGP by its sums.
func (g Glare) rated() Glare {
	total := g.Total()
	g.UGR, g.DGP = 0, 5.87e-5*total+0.16
	g.DGPInRange = total > DGPLeast
	if g.guth > 0 {
		g.UGR = max(0, 8*math.Log10(0.25/g.background*g.guth))
		g.DGP += 0.0918 * math.Log10(1+g.guth/math.Pow(total, 1.87))
	}
	g.DGP = min(1, g.DGP)
	return g
}

// Scaled is the glare of the same face k times as bright.
func (g Glare) Scaled(k float64) Glare {
	g.Mean, g.Vertical, g.guth = g.Mean*k, g.Vertical*k, g.guth*k*k
	return g.rated()
}

// And is the glare of two faces seen at once by one eye: the sums of both
// formulas run over both, before the background of g. UGR is in range when it
// is for both. Not modelled: one face hiding the other.
func (g Glare) And(h Glare) Glare {
	sum := Glare{SolidAngle: g.SolidAngle + h.SolidAngle, Vertical: g.Vertical + h.Vertical, guth: g.guth + h.guth, background: g.background,
		UGRInRange: g.UGRInRange && h.UGRInRange}
	if sum.SolidAngle > 0 {
		sum.Mean = (g.Mean*g.SolidAngle + h.Mean*h.SolidAngle) / sum.SolidAngle
	}
	return sum.rated()
}

// Surroundings are the luminances next to the lamp, cd/m²; 0 leaves one out.
type Surroundings struct {
	Screen float64 // what the person looks at
	Wall   float64 // what lies behind the lamp
}

// Findings judges how the lamp meets the eye: where it hangs, how bright it
// is against its surroundings. pitch is the gaze above the horizontal, rad;
// luminance the face's mean, cd/m².
func (m Mount) Findings(pitch, luminance float64, s Surroundings) []finding.Finding {
	const deg = 180 / math.Pi
	const brow = "limits of the visual field: CIE S 026:2018 (from memory); losses of light from above: Zauner, Broszio & Bieske 2023"
	var fs []finding.Finding
	switch e := m.Elevation(pitch) * deg; {
	case e > 50:
		fs = append(fs, finding.Finding{Severity: finding.Warn, Key: "optics.behind_brow",
			What:  fmt.Sprintf("the middle of the face is %.0f° above the line of sight; the brow hides what is above 50°", e),
			Cause: "the lamp hangs too high for its distance", Mend: "hang it lower or further away", Source: brow})
	case e > 45:
		fs = append(fs, finding.Finding{Severity: finding.Warn, Key: "optics.high_lamp",
			What:  fmt.Sprintf("the middle of the face is %.0f° above the line of sight; from 45° on a squint hides much of it", e),
			Cause: "bright light makes people squint, which lowers the upper limit of sight from 50°", Mend: "hang it lower or further away", Source: brow})
	case e > 35:
		fs = append(fs, finding.Finding{Severity: finding.Note, Key: "optics.high_lamp",
			What:  fmt.Sprintf("the middle of the face is %.0f° above the line of sight; above 35° part of it may be lost to a squint", e),
			Cause: "the brow cuts light from above at about 50°", Mend: "hang it a little lower if the measured effect is too small", Source: brow})
	}
	ratio := func(key, what string, other, limit float64) {
		if other > 0 && luminance/other > limit {
			fs = append(fs, finding.Finding{Severity: finding.Note, Key: key,
				What:  fmt.Sprintf("the face is %.0f times as bright as %s; comfort advice is up to %.0f", luminance/other, what, limit),
				Cause: "a bright lamp near the line of sight is always outside this advice", Mend: "use a larger face at the same light, or brighten the room",
				Source: "common practice, no source"})
		}
	}
	ratio("optics.contrast_screen", "the screen", s.Screen, 3)
	ratio("optics.contrast_wall", "the wall behind it", s.Wall, 10)
	if luminance > 1e4 {
		fs = append(fs, finding.Finding{Severity: finding.Note, Key: "optics.check_blue_light",
			What:  fmt.Sprintf("the face's mean luminance is %.0f cd/m²; above 10000 cd/m² white sources want a blue-light check", luminance),
			Cause: "below that no spectrum of white light reaches the limit", Mend: "see the photobiological result of this lamp",
			Source: "IEC 62471:2006 with IEC TR 62778:2014 (rule from memory)"})
	}
	return fs
}

// Region is where a person may sit before a hung lamp and still get the
// light: positions of the eye that keep at least the target illuminance.
type Region struct {
	Lux      float64 // lx at the mount's own place
	Nearest  float64 // m, horizontal distance from which on the light is enough
	Farthest float64 // m, horizontal distance up to which it is enough
	Sideways float64 // m, how far to the side of the lamp's middle it stays enough, at the mount's distance
}

// Usable finds the region with at least lux at the eye, gaze pitched by
// pitch, the lamp's height and tilt as in m. view cuts the field of view, nil
// for none. ok is false when the mount's own distance does not reach lux
// before the lamp's middle. Distances are sought from 0.1 to 5 m.
func (r *Solution) Usable(m Mount, pitch, lux float64, view *View) (reg Region, ok bool, err error) {
	at := func(d, o float64) float64 {
		q := m
		q.Distance, q.Offset = d, o
		t := q.Eye(pitch)
		t.View = view
		if t.Position.Z < 0.02 { // behind or in the sheet
			return 0
		}
		var e float64
		if e, err = r.Illuminance(t); err != nil {
			return 0
		}
		return e
	}
	reg.Lux = at(m.Distance, m.Offset)
	if err != nil {
		return Region{}, false, err
	}
	if at(m.Distance, 0) < lux {
		return reg, false, err
	}
	edge := func(in, out float64, f func(x float64) float64) float64 {
		// Walk out until the light fails, then bisect.
		const steps = 40
		last := in
		for k := 1; k <= steps; k++ {
			x := in + (out-in)*float64(k)/steps
			if f(x) < lux {
				lo, hi := last, x
				for range 16 {
					if mid := (lo + hi) / 2; f(mid) >= lux {
						lo = mid
					} else {
						hi = mid
					}
				}
				return lo
			}
			last = x
		}
		return out
	}
	reg.Nearest = edge(m.Distance, min(0.1, m.Distance), func(x float64) float64 { return at(x, 0) })
	reg.Farthest = edge(m.Distance, max(5, m.Distance), func(x float64) float64 { return at(x, 0) })
	reg.Sideways = edge(0, 3, func(x float64) float64 { return at(m.Distance, x) })
	return reg, true, err
}
