package predict

import (
	"fmt"
	"math"

	"dawnsmith/finding"
	"dawnsmith/lamp"
	"dawnsmith/lamp/optics"
	"dawnsmith/light/colour"
)

// ColourStripe is how far the face's colour over a row of one strip lies from
// that over a row of the other, in u′v′, where two strips take turns.
const ColourStripe = "colour_stripe_u_v"

// Colours this far apart in u′v′ are told apart side by side, and look coarse:
// three and seven steps of stripeStep (CIE TN 001:2014 for the step, from memory;
// the numbers of steps are common practice, no source).
const (
	stripeStep   = 0.0011
	stripeSeen   = 3 * stripeStep
	stripeCoarse = 7 * stripeStep
)

// everySecond is the field of LEDs of one of two strips that take turns.
func everySecond(l lamp.Lamp) optics.Lattice {
	la := lattice(l)
	la.Spacing *= 2
	la.Staggered = false // its own rows lie alike
	return la
}

// stripe works ColourStripe out. Each strip's light through the sheet is w·(1 ± m)
// over its own rows and over the other's: m is the contrast of its LEDs at twice
// the row pitch, of the share direct of the light that the sheet gets from LEDs
// straight. Source: superposition; distance in CIE 1976 u′v′.
//
// Not modelled: the rim, where one strip's row is the last.
func (p *Prepared) stripe(l lamp.Lamp, r *Result, direct float64) (float64, error) {
	m, err := everySecond(l).Contrast(r.Box.Sheet, p.film)
	if err != nil {
		return 0, err
	}
	m *= direct
	over := func(sign float64) (u, v float64) {
		var sum colour.XYZ
		for c, ch := range r.Channels {
			w := ch.Flux * (1 + sign*m)
			if c == 1 {
				w = ch.Flux * (1 - sign*m)
			}
			of := p.behind[c].colour
			sum.X, sum.Y, sum.Z = sum.X+w*of.X, sum.Y+w*of.Y, sum.Z+w*of.Z
		}
		d := sum.X + 15*sum.Y + 3*sum.Z
		return 4 * sum.X / d, 9 * sum.Y / d
	}
	u0, v0 := over(1)
	u1, v1 := over(-1)
	return math.Hypot(u1-u0, v1-v0), nil
}

// striped holds the finding about rows of two colours.
func striped(l lamp.Lamp, r *Result) []finding.Finding {
	d, ok := r.Numbers[ColourStripe]
	if !ok || d < stripeSeen {
		return nil
	}
	f := finding.Finding{Severity: finding.Note, Key: "optics.colour_stripes",
		What:  fmt.Sprintf("the face shows stripes of two colours: %.4f apart in u′v′, about %.0f steps of %.4f", d, d/stripeStep, stripeStep),
		Cause: "two strips take turns, so that each colour has only every second row",
		Mend:  "a deeper tray, rows closer together, a sheet that scatters more, or a strip with both channels", Source: "step in u′v′: CIE TN 001:2014, from memory; that three are seen side by side and seven are coarse: common practice, no source"}
	if d >= stripeCoarse {
		f.Severity = finding.Warn
	}
	return []finding.Finding{f}
}
