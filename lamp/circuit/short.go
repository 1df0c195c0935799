package circuit

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"dawnsmith/finding"
)

// Short is a bolted short between plus and minus at one end of a row.
type Short struct {
	Row     int
	Right   bool    // at the right row end
	Current float64 // A, what the copper and the supply's resistance let through
	LoopR   float64 // Ω
}

// Shorts are the prospective short currents at both ends of every row, weakest
// first: V_oc over the resistance of the loop, the units drawing nothing. A
// supply with a current limit gives less.
//
// Ends that no copper joins to the supply are left out.
func Shorts(n *Network) ([]Short, error) {
	var out []Short
	for i := range n.Rows {
		for _, right := range []bool{false, true} {
			minuses := []Pad{LeftMinus, LeftMinus2}
			plus := LeftPlus
			if right {
				minuses, plus = []Pad{RightMinus, RightMinus2}, RightPlus
			}
			if n.Rows[i].Second == nil {
				minuses = minuses[:1]
			}
			for _, minus := range minuses {
				amp, err := shortCurrent(n, Jumper{A: PadNode(i, plus), B: PadNode(i, minus)})
				if err != nil {
					return nil, err
				}
				if amp > LitCurrent {
					out = append(out, Short{Row: i, Right: right, Current: amp, LoopR: n.VOC / amp})
				}
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Short) int {
		switch {
		case a.Current < b.Current:
			return -1
		case a.Current > b.Current:
			return 1
		}
		return 0
	})
	return out, nil
}

// shortCurrent is the supply's current with the jumper in place and no unit
// drawing any; infinite where there is no resistance at all.
func shortCurrent(n *Network, at Jumper) (float64, error) {
	m := *n
	m.Jumpers = append(slices.Clip(n.Jumpers), at)
	s, err := compile(&m, false)
	switch {
	case errors.Is(err, ErrShort):
		return math.Inf(1), nil
	case err != nil:
		return 0, fmt.Errorf("short at row %d: %w", at.A.a, err)
	}
	s.load()
	s.forward(s.still, s.n)
	s.backward(0, s.n)
	return s.supplyCurrent(s.currents(nil)), nil
}

// ShortUse is what stands between a short and a fire.
type ShortUse struct {
	Prospective float64 // A at the weakest place, from Shorts
	SupplyRated float64 // A
	Fuse        float64 // A, 0 for none
	WireLimit   float64 // A of the thinnest conductor in the loop
}

// Supplies give up somewhere between these multiples of their rating (limit,
// hiccup or foldback); a fuse needs at least fuseClears times its value to
// open fast. Common practice, no source.
const (
	supplyGivesUp = 1.1
	supplyAtMost  = 1.5
	fuseClears    = 2.0
)

// FuseClears tells whether a short at the weakest place would open the fuse
// fast. Behind a small brick, which gives little over its rating, it never
// does: there the brick's own limit is the protection and the fuse guards
// against a wrong supply.
func (u ShortUse) FuseClears() bool {
	return u.Fuse > 0 && min(u.Prospective, supplyAtMost*u.SupplyRated) >= fuseClears*u.Fuse
}

// CheckShort tells whether a short at the weakest place would be noticed: by
// the supply if it draws more than the supply gives, else by the fuse.
func CheckShort(u ShortUse) []finding.Finding {
	const source = "supply limits 1.1 to 1.5 times rating, fuses clear fast from 2 times their value: common practice, no source"
	switch {
	case !(u.Prospective > 0 && u.SupplyRated > 0):
		return nil
	case u.Prospective >= supplyGivesUp*u.SupplyRated:
		return nil
	case u.Fuse > 0 && u.Prospective >= fuseClears*u.Fuse:
		return nil
	}
	guard := "there is no fuse"
	if u.Fuse > 0 {
		guard = fmt.Sprintf("a %.3g A fuse needs %.1f A to open fast", u.Fuse, fuseClears*u.Fuse)
	}
	sev := finding.Stop
	if u.WireLimit > 0 && u.Prospective <= u.WireLimit {
		sev = finding.Warn // the copper bears it
	}
	return []finding.Finding{{
		Severity: sev, Key: "circuit.short_unseen",
		What:       fmt.Sprintf("a short at the far row draws %.1f A, below the %.1f A at which a %.3g A supply gives up, and %s", u.Prospective, supplyGivesUp*u.SupplyRated, u.SupplyRated, guard),
		Cause:      "thin wire and strip limit the current to what the supply takes for an ordinary load, while they burn",
		Mend:       "take a supply no larger than the lamp needs, a smaller fuse, a fuse for each branch, or thicker wire",
		Source:     source,
		NoOverride: true,
	}}
}
