package predict

import (
	"errors"
	"fmt"

	"dawnsmith/lamp"
	"dawnsmith/lamp/optics"
	"dawnsmith/quantity"
)

// follow finds where the light of the box goes, at the grade of r.
func (p *Prepared) follow(b optics.Box, r *Result) error {
	if r.Grade == Quick || b.Sheet.T == 1 {
		var err error
		r.Optics, err = optics.ThreeSurface(b)
		return err
	}
	if r.Grade == balanced {
		var err error
		r.Optics, err = p.solver.Balance(b)
		return err
	}
	if p.solver == nil || p.solverGrade != r.Grade {
		d := optics.Standard
		if r.Grade == Live {
			d = optics.Draft
		}
		var err error
		if p.solver, err = optics.NewSolver(b, p.film, optics.Options{Detail: d}); err != nil {
			return err
		}
		p.solverGrade = r.Grade
		p.keep()
	}
	sol, err := p.solver.Solve(b)
	if err != nil {
		return err
	}
	r.Light, r.Face, r.Optics = sol, &sol.Face, sol.Balance
	return nil
}

// keptSolvers is how many boxes a Cache remembers for the Live grade.
const keptSolvers = 6

// reuse takes the solver of a box of the same geometry from the cache.
func (p *Prepared) reuse(b optics.Box) bool {
	if p.cache == nil {
		return false
	}
	for _, s := range p.cache.solvers {
		if s.Fits(b) {
			p.solver, p.solverGrade = s, Live
			return true
		}
	}
	return false
}

// keep puts the solver into the cache, if it is one for sliders.
func (p *Prepared) keep() {
	if p.cache == nil || p.solverGrade != Live {
		return
	}
	if len(p.cache.solvers) >= keptSolvers {
		p.cache.solvers = p.cache.solvers[1:]
	}
	p.cache.solvers = append(p.cache.solvers, p.solver)
}

// faceLook is what the face shows and gives, per the box's own lumens.
type faceLook struct {
	mean, centre, brightest float64 // cd/m²
	ripple                  float64
	lux                     [targetCount]float64
}

// lookAt takes what the solved box shows; ripple is asked for last.
func lookAt(l lamp.Lamp, s *optics.Solution, ripple func() float64) (faceLook, error) {
	f := faceLook{mean: s.Face.Mean, centre: s.Face.Centre}
	for i, t := range sight(l) {
		e, err := s.Illuminance(t)
		if err != nil {
			return f, err
		}
		f.lux[i] = e
	}
	f.ripple = ripple()
	// The map's brightest cell holds the spots too where they show; the slow
	// part is what is left without them.
	f.brightest = s.Face.Max / (1 + f.ripple)
	return f, nil
}

// more takes the numbers that only the solved box gives.
func (p *Prepared) more(l lamp.Lamp, r *Result, k float64) {
	n, s := r.Numbers, r.Light
	n[optics.KeyEvenness] = s.Face.Evenness
	n[optics.KeyCentre], n[optics.KeyCorner] = s.Face.Centre*k, s.Face.Corner*k
	n[optics.KeyDirect] = s.Face.Direct
	n[optics.KeyFarField] = optics.FarFieldFrom(l.RunLength(), l.Across(), 0.05)
	if r.Grade != Full {
		return
	}
	n[optics.KeyRimRipple] = s.RimRipple()
	if d, err := s.DistanceFor(SessionLux / k); err == nil {
		n[optics.KeySessionLight] = d
	}
	eye := sight(l)[atEye]
	if g, err := s.Glare(eye, l.Spec.Place.Surround); err == nil && g.Mean > 0 {
		r.glare = g.Scaled(k)
		n[optics.KeySolidAngle] = g.SolidAngle
		if r.glare.UGR > 0 {
			n[optics.KeyUGR] = r.glare.UGR
		}
		if r.glare.DGPInRange {
			n[optics.KeyDGP] = r.glare.DGP
		}
	}
}

// Ranges says of numbers that stand outside the range their formula was made
// for, or are left out for it, why: by key, one sentence each.
func (r *Result) Ranges() map[string]string { return ranges(r.glare) }

func ranges(g optics.Glare) map[string]string {
	if g.SolidAngle == 0 {
		return nil
	}
	out := map[string]string{}
	if !g.UGRInRange {
		out[optics.KeyUGR] = fmt.Sprintf("outside its range, %g to %g sr, with %s sr in view: compare faces of one size only", optics.UGRLeast, optics.UGRMost, quantity.Digits(g.SolidAngle, 2))
	}
	if !g.DGPInRange {
		out[optics.KeyDGP] = fmt.Sprintf("not given: %s lx at the eye, the room's included, and it was made for more than %g lx", quantity.Digits(g.Total(), 3), optics.DGPLeast)
	}
	return out
}

// SessionLux is the illuminance of the tested session of half an hour, lx.
const SessionLux = 10000.0

// equalLight takes the distance for the melanopic target, once the light's
// colour is known.
func (r *Result) equalLight(k float64) {
	if r.Grade != Full || r.Light == nil || !(r.Numbers[DER] > 0) {
		return
	}
	if d, err := r.Light.DistanceFor(SessionEDI / r.Numbers[DER] / k); err == nil {
		r.Numbers[optics.KeyDayLight] = d
	}
}

// EyeAt is the illuminance at an eye, lx, that sits at the straight distance d
// (m) from the face's centre on the line of the lamp's own place, gaze and brow
// as there, and at a meter there that looks at the face's centre. It needs a
// lamp worked out at the Full or Live grade.
func (r *Result) EyeAt(d float64) (eye, meter float64, err error) {
	if r.Light == nil {
		return 0, 0, errors.New("the lamp was not worked out patch by patch")
	}
	l := r.Lamp
	p := &l.Spec.Place
	scale := d / p.EyeDistance
	*p = p.Moved(scale*p.Ahead(), (1-scale)*p.LampAboveEye, scale*p.LampAside)
	p.MeterDistance = d
	t := sight(l)
	k := r.Numbers[FluxOut] / r.Optics.Out
	if eye, err = r.Light.Illuminance(t[atEye]); err != nil {
		return 0, 0, err
	}
	if meter, err = r.Light.Illuminance(t[atMeter]); err != nil {
		return 0, 0, err
	}
	return eye * k, meter * k, nil
}
