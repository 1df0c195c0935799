// Package fault finds what is wrong with a lamp from what is seen and measured
// at the bench.
//
// Every single fault of a list (a reversed row, an open tap, a broken rail or
// bus, a bad joint, a tired lead, a short, a dead LED, a wrong supply) is put
// into the lamp's own network, one at a time, and solved; what it would show is
// held against what is there. With χ² the sum of squared differences over
// their uncertainties and p₀ how often builders meet such a fault (common
// practice, no source), a fault's weight is p₀·exp(−χ²/2), and the weights of
// all faults make 1.
//
// Not modelled: two faults at once, intermittent contacts, and faults inside
// the supply beyond its voltage.
package fault

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"dawnsmith/lamp/circuit"
)

// Seen is what was found at the bench. Rows and units count from 1, row 1
// nearest the entry, unit 1 at the wired end. Zero values mean not looked at.
type Seen struct {
	// AllDark: nothing lights. Blinking: the whole lamp blinks about once a second.
	AllDark, Blinking bool
	// Rows holds what was seen of single rows; a row not listed was not looked
	// at, unless AllDark.
	Rows []RowSeen
	// OthersLit says that every row not listed shines as it should.
	OthersLit bool
	// SupplyCurrent in A, SupplyVolts at the lamp's entry in V; nil: not measured.
	SupplyCurrent, SupplyVolts *float64
	// Uneven: brightness falls along the rows or from row to row.
	Along, Across bool
}

// RowSeen is what was seen of one row.
type RowSeen struct {
	Row int
	// DarkFrom is the first dark unit, 1 for a dark row; 0: lit all along.
	DarkFrom int
	// DarkOnly is a single dark unit; 0: none.
	DarkOnly int
	// Near and Far are the volts between plus and minus at the wired and the
	// free end; nil: not measured.
	Near, Far *float64
}

// Suspect is one fault that may be the cause.
type Suspect struct {
	Key    string  // stable kind, such as "row.reversed"
	What   string  // the fault, with its place
	Weight float64 // 0 to 1, of all faults considered
	Fits   bool    // nothing seen speaks clearly against it
	Next   string  // what to measure or look at next, and how it decides
	Mend   string
}

// Uncertainties of the comparison: meters and strips, engineering estimates.
const (
	voltsU   = 0.15 // V, a hand meter on a loaded strip
	currentU = 0.06 // of the current, the strip's own spread
	lightU   = 0.35 // a state of light seen wrong counts (1/lightU)² ≈ 8
)

// trial is one fault put into the network.
type trial struct {
	key, what, next, mend string
	prior                 float64
	change                func(n *circuit.Network)
	blinks                bool
}

// Find ranks the faults of a lamp's layout by how well they explain what was
// seen, likeliest first; faults of one kind and row are joined. It fails on a
// layout that cannot be solved or when nothing was seen.
func Find(l circuit.Layout, seen Seen) ([]Suspect, error) {
	if err := seen.check(l); err != nil {
		return nil, err
	}
	full := l.FullOn()
	var out []Suspect
	var chis []float64
	var priors []float64
	for _, t := range trials(&full) {
		n, err := full.Network()
		if err != nil {
			return nil, fmt.Errorf("fault: %w", err)
		}
		if t.change != nil {
			t.change(n)
		}
		chi, err := misfit(&full, n, seen, t)
		if err != nil {
			continue // a short that the model refuses is judged by its own trial
		}
		out = append(out, Suspect{Key: t.key, What: t.what, Next: t.next, Mend: t.mend})
		chis, priors = append(chis, chi), append(priors, t.prior)
	}
	if len(out) == 0 {
		return nil, errors.New("fault: the layout cannot be solved with any fault")
	}
	least := slices.Min(chis)
	total := 0.0
	for i := range out {
		out[i].Weight = priors[i] * math.Exp(-(chis[i]-least)/2)
		out[i].Fits = chis[i] < 9+least && chis[i] < 30
		total += out[i].Weight
	}
	joined := map[string]int{}
	var list []Suspect
	for _, s := range out {
		s.Weight /= total
		if i, ok := joined[s.What]; ok {
			list[i].Weight += s.Weight
			list[i].Fits = list[i].Fits || s.Fits
			continue
		}
		joined[s.What] = len(list)
		list = append(list, s)
	}
	slices.SortStableFunc(list, func(a, b Suspect) int { return cmp.Compare(b.Weight, a.Weight) })
	return list, nil
}

func (s Seen) check(l circuit.Layout) error {
	if !s.AllDark && !s.Blinking && !s.Along && !s.Across && len(s.Rows) == 0 && s.SupplyCurrent == nil && s.SupplyVolts == nil {
		return errors.New("fault: nothing was seen or measured; say which rows are dark, or give a voltage or the current")
	}
	finite := func(what string, x *float64, hi float64) error {
		if x != nil && !(*x >= -hi && *x <= hi) {
			return fmt.Errorf("fault: %s is %v; allowed is up to %g", what, *x, hi)
		}
		return nil
	}
	if err := errors.Join(finite("the supply current in A", s.SupplyCurrent, 200), finite("the supply voltage in V", s.SupplyVolts, 100)); err != nil {
		return err
	}
	for _, r := range s.Rows {
		if r.Row < 1 || r.Row > len(l.RowUnits) {
			return fmt.Errorf("fault: row %d; the lamp has rows 1 to %d", r.Row, len(l.RowUnits))
		}
		if n := l.RowUnits[r.Row-1]; r.DarkFrom < 0 || r.DarkFrom > n || r.DarkOnly < 0 || r.DarkOnly > n {
			return fmt.Errorf("fault: unit %d of row %d; the row has units 1 to %d", max(r.DarkFrom, r.DarkOnly), r.Row, n)
		}
		if err := errors.Join(finite("a voltage at a row in V", r.Near, 100), finite("a voltage at a row in V", r.Far, 100)); err != nil {
			return err
		}
	}
	return nil
}

// misfit is χ² of what a network would show against what was seen.
func misfit(l *circuit.Layout, n *circuit.Network, seen Seen, t trial) (float64, error) {
	s, err := circuit.Solve(n)
	if err != nil {
		return 0, err
	}
	chi := 0.0
	add := func(diff, u float64) { chi += math.Min(100, diff*diff/(u*u)) }
	if seen.Blinking != t.blinks {
		chi += 9
	}
	if x := seen.SupplyCurrent; x != nil {
		add(*x-s.SupplyCurrent, math.Max(currentU*math.Max(*x, s.SupplyCurrent), 0.02))
	}
	if x := seen.SupplyVolts; x != nil {
		add(*x-entryVolts(l, s), voltsU)
	}
	listed := map[int]RowSeen{}
	for _, r := range seen.Rows {
		listed[r.Row-1] = r
	}
	for i, row := range s.Rows {
		lit := litUnits(row)
		r, ok := listed[i]
		switch {
		case ok:
			for k := range lit {
				dark := r.DarkFrom > 0 && k >= r.DarkFrom-1 || r.DarkOnly == k+1
				// One wrong unit says a little, a row of them no more than nine.
				if lit[k] == dark {
					chi += 1 / (lightU * lightU) / math.Sqrt(float64(len(lit)))
				}
			}
			if r.Near != nil {
				add(*r.Near-unitVolts(row, 0), voltsU)
			}
			if r.Far != nil {
				add(*r.Far-unitVolts(row, len(lit)-1), voltsU)
			}
		case seen.AllDark && slices.Contains(lit, true), seen.OthersLit && slices.Contains(lit, false):
			chi += 1 / (lightU * lightU)
		}
	}
	if seen.Along != falls(s, true) {
		chi += 2
	}
	if seen.Across != falls(s, false) {
		chi += 2
	}
	return chi, nil
}

// entryVolts is the voltage between the bus nodes where the leads end; without
// buses, that of the supply.
func entryVolts(l *circuit.Layout, s *circuit.Solution) float64 {
	plus, minus := l.FeedRows()
	if len(s.BusV) < 2 || plus >= len(s.BusV[0]) || minus >= len(s.BusV[1]) {
		return s.SupplyV
	}
	return s.BusV[0][plus] - s.BusV[1][minus]
}

// litUnits tells which units of a row shine: more than a twentieth of the
// row's brightest would show.
func litUnits(r circuit.RowSolution) []bool {
	out := make([]bool, len(r.First.I))
	for k, i := range r.First.I {
		out[k] = i > 0.0005
		if k < len(r.Second.I) {
			out[k] = out[k] || r.Second.I[k] > 0.0005
		}
	}
	return out
}

func unitVolts(r circuit.RowSolution, k int) float64 {
	if k < 0 || k >= len(r.First.V) {
		return 0
	}
	return r.First.V[k]
}

// falls tells whether the current falls by a tenth along rows or from row to
// row, which an eye sees.
func falls(s *circuit.Solution, along bool) bool {
	first, last := math.Inf(1), math.Inf(-1)
	for _, r := range s.Rows {
		if along {
			lo, hi := math.Inf(1), 0.0
			for _, i := range r.First.I {
				if i > 0.0005 {
					lo, hi = math.Min(lo, i), math.Max(hi, i)
				}
			}
			if hi > 0 && lo < 0.9*hi {
				return true
			}
			continue
		}
		if r.Current > 0.001 {
			first, last = math.Min(first, r.Current), math.Max(last, r.Current)
		}
	}
	return !along && first < 0.9*last
}
