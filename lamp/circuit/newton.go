package circuit

import (
	"errors"
	"fmt"
	"math"
)

// ErrNotConverged says that the rounds ran out before the currents agreed;
// there is then no solution to show.
var ErrNotConverged = errors.New("circuit not converged")

// ErrShort says that nothing but copper of no resistance joins plus to minus.
var ErrShort = errors.New("dead short")

// Limits of the iteration. The current tolerance is relative to the largest
// unit current, the voltage tolerance in V; either suffices.
const (
	maxRounds  = 300
	currentTol = 1e-10
	voltageTol = 1e-10
)

// newton is the damped iteration shared by all solvers, one entry per unit. A
// solver proposes voltages from the tangents ui + ug·(v - uv); advance goes
// there as far as is safe.
//
// The circuit seeks the least of a convex function (Millar's content, Phil.
// Mag. 42 (1951) 1150) whose slope along a step needs the unit currents only,
// so it is known when a step went too far. Units with a regulator, whose
// curvature changes sign, also move at most VNom/24 a round.
type newton struct {
	laws       []curve   // distinct unit laws
	law        []int32   // which of them each unit follows
	uv, ui, ug []float64 // V, A, S at the present voltages
	uw         []float64 // the diode law's variable, kept as a first guess
	bal        []float64 // A, currents with which the linear part is in balance
	step       []float64 // V, proposed change
	change     []float64 // A, what a full step changes bal by
	rounds     int
}

func (s *newton) room(k int) {
	s.uv, s.ui, s.ug, s.uw = make([]float64, k), make([]float64, k), make([]float64, k), make([]float64, k)
	s.bal, s.step, s.change = make([]float64, k), make([]float64, k), make([]float64, k)
}

// propose records the voltage a full step would bring unit k to and returns
// the fraction of the step its law allows.
func (s *newton) propose(k int, v, t float64) float64 {
	dv := v - s.uv[k]
	s.step[k] = dv
	if c := s.laws[s.law[k]].cap; c > 0 {
		if a := math.Abs(dv); a*t > c {
			t = c / a
		}
	}
	return t
}

// evaluate works out current and slope of every unit at uv.
func (s *newton) evaluate() {
	for k, v := range s.uv {
		c := &s.laws[s.law[k]]
		switch c.kind {
		case PiecewiseLinear:
			s.ui[k], s.ug[k] = 0, 0
			if v > c.v0 {
				s.ui[k], s.ug[k] = (v-c.v0)*c.g0, c.g0
			}
		case SeriesDiode:
			w := omegaFrom(s.uw[k], c.y0+v*c.invA)
			s.uw[k] = w
			s.ui[k], s.ug[k] = c.aOverB*(w-c.w0), c.inB*w/(1+w)
		case tabulated:
			s.ui[k], s.ug[k] = c.table.current(v)
		default:
			s.ui[k], s.ug[k] = c.regulated(v)
		}
	}
}

// advance goes the fraction t of the step, less if that overshoots, and tells
// whether the circuit now agrees with the tangents it was solved with.
func (s *newton) advance(t float64) (bool, error) {
	s.rounds++
	before, moved := 0.0, 0.0
	for k, dv := range s.step {
		before += (s.ui[k] - s.bal[k]) * dv // slope of the content, not positive
		s.change[k] = s.ui[k] + s.ug[k]*dv - s.bal[k]
		s.uv[k] += t * dv
		moved += math.Abs(dv)
	}
	if math.IsNaN(moved) || math.IsInf(moved, 0) {
		return false, fmt.Errorf("%w: a voltage left the numbers in round %d", ErrNotConverged, s.rounds)
	}
	for try := 0; ; try++ {
		s.evaluate()
		worst, largest, after := 0.0, 0.0, 0.0
		for k, dv := range s.step {
			i := s.ui[k]
			off := i - s.bal[k] - t*s.change[k]
			after += off * dv
			if a := math.Abs(off); a > worst {
				worst = a
			}
			if a := math.Abs(i); a > largest {
				largest = a
			}
		}
		if math.IsNaN(after) {
			return false, fmt.Errorf("%w: a current left the numbers in round %d", ErrNotConverged, s.rounds)
		}
		if after > 0 && after > -0.5*before && try < 30 && worst > currentTol*largest {
			// Too far: the slope has turned. Aim at its zero along the chord.
			to := t * min(max(before/(before-after), 0.1), 0.9)
			for k, dv := range s.step {
				s.uv[k] += (to - t) * dv
			}
			t = to
			continue
		}
		if t == 1 && (worst <= currentTol*largest+1e-18 || moved < voltageTol) {
			return true, nil
		}
		for k := range s.step {
			s.bal[k] += t * s.change[k]
		}
		if s.rounds >= maxRounds {
			return false, fmt.Errorf("%w after %d rounds", ErrNotConverged, s.rounds)
		}
		return false, nil
	}
}
