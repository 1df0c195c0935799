package clock

import (
	"fmt"
	"math"
)

// Minimum is one time of least body temperature.
type Minimum struct {
	Hour float64 // h
	// Kind is smooth where the model's variable turns, edge where it turns in
	// the very moment the light changes, phase for Hannay19.
	Kind string
	// Rival says that another, shallower turn lay within 13 h: a little more
	// or less light could make the time jump.
	Rival bool
}

// Run is one model over one schedule.
type Run struct {
	Model     Model
	Start     float64   // h, of the schedule
	Hourly    []State   // at Start, Start+1 h, …
	CBTmin    []Minimum // least core body temperature
	DLMO      []float64 // h, dim-light melatonin onset, CBTmin - 7 h
	DLMOPhase []float64 // h, Hannay19 only: where ψ passes 5π/12
	End       State
}

const (
	stepHours = 1.0 / 60 // RK4 at a minute keeps within 1e-7 of an exact solution
	apart     = 13.0     // h, least distance of two minima
	offset    = 0.8      // h, Jewett99: least temperature after the least x
)

// turn is a local minimum of x with its depth.
type turn struct {
	at, depth float64
	edge      bool
}

// Simulate runs a model from a start state over a schedule, by Runge-Kutta
// steps of at most a minute that begin anew at every change of light.
//
// The least temperature is the minimum of x for Forger99, 0.8 h after it for
// Jewett99, and where ψ passes π for Hannay19; of two minima less than 13 h
// apart the deeper stays.
//
// Source: the papers at [Model]; conventions of least temperature and
// melatonin onset vary between papers by an hour.
func (m Model) Simulate(start State, light []Piece) (Run, error) {
	if err := m.check(start); err != nil {
		return Run{}, err
	}
	if err := checkLight(light); err != nil {
		return Run{}, err
	}
	r := Run{Model: m, Start: light[0].From, Hourly: []State{start}}
	s := start
	var turns []turn
	var phases, onsets []float64
	nextHour := 1
	was := 0.0 // slope of x before this piece
	for i, p := range light {
		a := m.alpha(p.Lux)
		now := m.rate(s, a)[0]
		if m != Hannay19 && i > 0 && was < 0 && now >= 0 {
			turns = append(turns, turn{p.From, s[0], true})
		}
		for t := p.From; t < p.To; {
			// A step boundary at each whole hour makes the hourly states exact.
			end := min(p.To, r.Start+float64(nextHour))
			n := max(1, int(math.Ceil((end-t)/stepHours-1e-9)))
			h := (end - t) / float64(n)
			for k := range n {
				at := t + float64(k)*h
				next := m.step(s, a, h)
				if m == Hannay19 {
					phases = m.pass(phases, s, next, a, at, h, math.Pi)
					onsets = m.pass(onsets, s, next, a, at, h, 5*math.Pi/12)
				} else if m.rate(s, a)[0] < 0 && m.rate(next, a)[0] >= 0 {
					turns = append(turns, m.bottom(s, a, at, h))
				}
				s = next
			}
			t = end
			if end >= r.Start+float64(nextHour)-1e-12 {
				r.Hourly = append(r.Hourly, s)
				nextHour++
			}
		}
		if err := m.check(s); err != nil {
			return Run{}, fmt.Errorf("at %g h: %w", p.To, err)
		}
		was = m.rate(s, a)[0]
	}
	r.End = s
	r.collect(turns, phases, onsets)
	return r, nil
}

// pass appends the time at which ψ goes up through target (mod 2π) in a step.
func (m Model) pass(out []float64, s, next State, alpha, at, h, target float64) []float64 {
	turn := func(x State) float64 { return math.Floor((x[1] - target) / (2 * math.Pi)) }
	if turn(next) <= turn(s) {
		return out
	}
	goal := turn(next)
	lo, hi := 0.0, h
	for range 60 {
		mid := (lo + hi) / 2
		if turn(m.step(s, alpha, mid)) >= goal {
			hi = mid
		} else {
			lo = mid
		}
	}
	return append(out, at+hi)
}

// bottom finds where the slope of x turns up within a step.
func (m Model) bottom(s State, alpha, at, h float64) turn {
	lo, hi := 0.0, h
	for range 60 {
		mid := (lo + hi) / 2
		if m.rate(m.step(s, alpha, mid), alpha)[0] >= 0 {
			hi = mid
		} else {
			lo = mid
		}
	}
	return turn{at + hi, m.step(s, alpha, hi)[0], false}
}

// collect turns raw events into minima and onsets.
func (r *Run) collect(turns []turn, phases, onsets []float64) {
	if r.Model == Hannay19 {
		for _, t := range phases {
			r.CBTmin = append(r.CBTmin, Minimum{Hour: t, Kind: "phase"})
		}
		r.DLMOPhase = onsets
	} else {
		var kept []turn
		var rival []bool
		for _, t := range turns {
			if k := len(kept) - 1; k >= 0 && t.at-kept[k].at < apart {
				rival[k] = true
				if t.depth < kept[k].depth {
					kept[k] = t
				}
				continue
			}
			kept, rival = append(kept, t), append(rival, false)
		}
		late := 0.0
		if r.Model == Jewett99 {
			late = offset
		}
		for i, t := range kept {
			kind := "smooth"
			if t.edge {
				kind = "edge"
			}
			r.CBTmin = append(r.CBTmin, Minimum{Hour: t.at + late, Kind: kind, Rival: rival[i]})
		}
	}
	for _, c := range r.CBTmin {
		r.DLMO = append(r.DLMO, c.Hour-DLMOBefore)
	}
}

// Entrain repeats a day of light (0 to 24 h) until the state at its beginning
// stays the same to 1e-11, and returns that state and the days it took. Light
// that cannot hold the clock (constant darkness, say) is an error.
func (m Model) Entrain(day []Piece) (State, int, error) {
	if err := checkLight(day); err != nil {
		return State{}, 0, err
	}
	if d := day[len(day)-1].To - day[0].From; math.Abs(d-24) > 1e-9 {
		return State{}, 0, fmt.Errorf("clock: the habit lasts %g h, allowed is just 24 h", d)
	}
	// A usual state at midnight.
	s := State{-0.43, -0.97, 0.29}
	if m == Hannay19 {
		s = State{0.81, 2.05, 0.33}
	}
	if err := m.check(s); err != nil {
		return State{}, 0, err
	}
	const longest = 400
	for k := 1; k <= longest; k++ {
		next := s
		for _, p := range day {
			a := m.alpha(p.Lux)
			n := max(1, int(math.Ceil((p.To-p.From)/stepHours-1e-9)))
			h := (p.To - p.From) / float64(n)
			for range n {
				next = m.step(next, a, h)
			}
		}
		if err := m.check(next); err != nil {
			return State{}, k, err
		}
		if m == Hannay19 {
			next[1] = math.Mod(next[1], 2*math.Pi)
		}
		change := math.Abs(next[0]-s[0]) + math.Abs(next[2]-s[2])
		if m == Hannay19 {
			change += math.Abs(math.Remainder(next[1]-s[1], 2*math.Pi))
		} else {
			change += math.Abs(next[1] - s[1])
		}
		s = next
		if change < 1e-11 {
			return s, k, nil
		}
	}
	return State{}, longest, fmt.Errorf("clock: the habit's light does not hold the clock of %v to 24 h; give it more light by day than by night", m)
}
