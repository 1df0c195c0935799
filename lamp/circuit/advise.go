package circuit

import (
	"cmp"
	"fmt"
	"slices"
)

// Targets for the ratio of dimmest to brightest unit current in a lamp.
// Common practice, no source; 0.97 is out of sight, 0.95 nearly so.
const (
	EvenTarget = 0.97
	EvenFloor  = 0.95
)

// Wiring is what a layout takes to wire.
type Wiring struct {
	BusLength  float64 // m of bus wire, all conductors
	LeadLength float64 // m of lead wire, all conductors, cross leads included
	CopperMass float64 // kg
	Joints     int     // soldered or clipped by hand; the strip's factory joints not counted
}

// WireLength is bus and lead together, m.
func (w Wiring) WireLength() float64 { return w.BusLength + w.LeadLength }

// Wiring counts wire and joints: one joint a tap, two a link or cross lead, two
// a lead (at the lamp and at its plug).
func (l *Layout) Wiring() Wiring {
	rows, channels := len(l.RowUnits), len(l.Channels)
	var w Wiring
	w.LeadLength = float64(1+channels)*l.LeadLength + float64(channels)*l.minusDetour()
	w.Joints = 2 * (1 + channels)
	conductors := 1 + channels
	taps := rows * conductors
	if l.Interleaved {
		taps = rows * 2
	}
	switch l.Feed {
	case FeedSerpentine:
		w.BusLength = float64(conductors) * l.Span()
		w.Joints += 2 * conductors * (rows - 1)
	case FeedBothEnds:
		w.BusLength = 2 * float64(conductors) * l.Span()
		w.LeadLength += float64(conductors) * l.RowLength()
		w.Joints += 2*taps + 2*conductors
	default:
		w.BusLength = float64(conductors) * l.Span()
		w.Joints += taps
	}
	w.CopperMass = w.BusLength*l.Bus.KgPerM() + w.LeadLength*l.Lead.KgPerM()
	return w
}

// Advice is one feed scheme tried on a lamp.
type Advice struct {
	Scheme           Scheme
	Evenness         float64 // dimmest over brightest unit current, worst channel
	Spread           float64 // (max-min)/mean of the worst channel
	CopperLoss       float64 // W, everything but the supply's own loss
	CopperEfficiency float64
	Wiring
	Meets bool   // EvenTarget reached
	Why   string // one sentence
}

// Advise tries every feed scheme on the layout, all channels fully on, and
// ranks them: first those that reach EvenTarget, fewest joints, then least
// copper; then the rest, most even first. Schemes that the layout cannot have
// are left out.
func Advise(l Layout) ([]Advice, error) {
	l = l.FullOn()
	if err := l.Validate(); err != nil {
		return nil, err
	}
	var out []Advice
	for _, s := range Schemes() {
		l.Feed = s
		if l.Validate() != nil || s == FeedMiddle && len(l.RowUnits) < 3 {
			continue
		}
		sol, err := l.Solve()
		if err != nil {
			return nil, fmt.Errorf("feed %s: %w", s, err)
		}
		a := Advice{
			Scheme: s, Evenness: l.Evenness(sol), CopperLoss: sol.Loss.Lamp(),
			CopperEfficiency: sol.CopperEfficiency, Wiring: l.Wiring(),
		}
		for _, e := range l.ByChannel(sol) {
			a.Spread = max(a.Spread, e.Spread)
		}
		a.Meets = a.Evenness >= EvenTarget
		word := "below"
		if a.Meets {
			word = "within"
		}
		a.Why = fmt.Sprintf("dimmest unit at %.1f %% of the brightest (%s the target of %.0f %%), %d joints, %.2f m of wire, %.1f W lost in copper",
			100*a.Evenness, word, 100*EvenTarget, a.Joints, a.WireLength(), a.CopperLoss)
		out = append(out, a)
	}
	slices.SortStableFunc(out, func(a, b Advice) int {
		if a.Meets != b.Meets {
			if a.Meets {
				return -1
			}
			return 1
		}
		if a.Meets {
			return cmp.Or(cmp.Compare(a.Joints, b.Joints), cmp.Compare(a.CopperMass, b.CopperMass), cmp.Compare(b.Evenness, a.Evenness))
		}
		return cmp.Or(cmp.Compare(b.Evenness, a.Evenness), cmp.Compare(a.Joints, b.Joints))
	})
	return out, nil
}
