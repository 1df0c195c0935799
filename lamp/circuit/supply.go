package circuit

import (
	"fmt"
	"math"
	"slices"

	"dawnsmith/finding"
)

// supplyRatings are the wattages supplies are sold in; common practice, no
// source.
var supplyRatings = [...]float64{12, 18, 24, 30, 36, 40, 48, 60, 65, 72, 75, 90, 96, 100, 120, 150, 180, 200, 240, 320, 350}

// SupplyRatings are the usual power ratings, W.
func SupplyRatings() []float64 { return slices.Clone(supplyRatings[:]) }

// PowerLimit is a standard that caps what a supply can give.
type PowerLimit uint8

const (
	// NoPowerLimit: an ordinary supply.
	NoPowerLimit PowerLimit = iota
	// Class2: US class 2, UL 1310 and NEC chapter 9 table 11.
	Class2
	// LimitedPowerSource: IEC 62368-1 annex Q.
	LimitedPowerSource
)

// String gives the name as marked on supplies.
func (p PowerLimit) String() string {
	return [...]string{"no power limit", "class 2", "limited power source (LPS)"}[min(p, LimitedPowerSource)]
}

// Cap is the largest power, W, and current, A, such a supply may be rated for
// at v volts DC. Both standards: up to 20 V 5·V VA; 20 to 30 V 100 VA; 30 to
// 60 V 100 VA and 150/V A. Current to 20 V: 5 A (class 2) or 8 A (LPS); 20 to
// 30 V 8 A. Numbers of IEC 60950-1 table 2B, the forerunner of 62368-1 annex Q,
// and in part of NEC table 11(B); from memory otherwise.
func (p PowerLimit) Cap(v float64) (watts, amps float64) {
	if p == NoPowerLimit {
		return math.Inf(1), math.Inf(1)
	}
	switch {
	case v <= 20:
		amps = 8
		if p == Class2 {
			amps = 5
		}
		watts = 5 * v
	case v <= 30:
		watts, amps = 100, 8
	default:
		watts, amps = 100, 150/v
	}
	watts = min(watts, amps*v)
	return watts, min(amps, watts/v)
}

// supplyMargin: load at most 1/1.2 of rating. Common practice, no source.
const supplyMargin = 1.2

// DefaultEfficiency is the efficiency an external supply of that rating (W)
// must reach on average: above 49 W 0.88; from 1 to 49 W
// 0.071·ln P - 0.0014·P + 0.67 (US level VI, 10 CFR 430.32(w), single-voltage
// AC-DC).
func DefaultEfficiency(rating float64) float64 {
	if rating > 49 {
		return 0.88
	}
	p := max(rating, 1)
	return 0.071*math.Log(p) - 0.0014*p + 0.67
}

// SupplyNeed is the load and, if it is already chosen, the supply.
type SupplyNeed struct {
	VOC        float64    // V
	Current    float64    // A, warm steady, everything on
	Rated      float64    // W of the supply; 0 to choose
	Limit      PowerLimit // what the supply is marked as, or should be
	Efficiency float64    // 0 for DefaultEfficiency
	Capacitor  bool       // bulk capacitance behind it, for example in a dimmer
}

// SupplyChoice is the supply.
type SupplyChoice struct {
	Load       float64 // W, VOC times current
	Rating     float64 // W; 0 when none fits
	RatedAmps  float64 // A
	Loading    float64 // load over rating
	Mains      float64 // W drawn from the mains at that load
	MainsVA    float64 // VA, apparent, with the power factor below
	Factor     float64 // power factor assumed
	Efficiency float64
	NoLoad     float64 // W drawn with the lamp off, typical upper value
}

// ChooseSupply takes the next standard rating at or above 1.2 times the load,
// or judges the given one.
//
// Power factor: bricks under 75 W need no correction (IEC 61000-3-2 class A)
// and have 0.5 to 0.65, here 0.6; above, 0.9. From memory.
//
// Not modelled: efficiency below half load, derating in warm air, tolerance of
// the output voltage (2 to 5 %; 5 % is about 15 % of a resistor strip's
// current).
func ChooseSupply(n SupplyNeed) (SupplyChoice, []finding.Finding) {
	var fs []finding.Finding
	const source = "rating at least 1.2 times the load: common practice, no source"
	c := SupplyChoice{Load: n.VOC * n.Current, Rating: n.Rated, NoLoad: 0.21}
	want := supplyMargin * c.Load
	watts, amps := n.Limit.Cap(n.VOC)
	if c.Rating == 0 {
		for _, w := range supplyRatings {
			if w >= want {
				c.Rating = w
				break
			}
		}
		if c.Rating == 0 {
			fs = append(fs, finding.Finding{
				Severity: finding.Stop, Key: "circuit.supply_none",
				What:  fmt.Sprintf("the lamp takes %.0f W; no usual supply reaches 1.2 times that", c.Load),
				Cause: "too much load for one supply", Mend: "fewer or weaker rows, or several supplies on branches kept apart", Source: source,
			})
			return c, fs
		}
	}
	c.RatedAmps = c.Rating / n.VOC
	c.Loading = c.Load / c.Rating
	c.Efficiency = n.Efficiency
	if c.Efficiency == 0 {
		c.Efficiency = DefaultEfficiency(c.Rating)
	}
	c.Factor = 0.9
	if c.Rating < 75 {
		c.Factor = 0.6
	}
	c.Mains = c.Load / c.Efficiency
	c.MainsVA = c.Mains / c.Factor
	switch {
	case c.Load > c.Rating:
		fs = append(fs, finding.Finding{
			Severity: finding.Stop, Key: "circuit.supply_rating",
			What:  fmt.Sprintf("the lamp takes %.1f W from a supply of %.0f W", c.Load, c.Rating),
			Cause: "an overloaded supply sags, switches on and off, or overheats", Mend: fmt.Sprintf("a supply of %.0f W or more", want), Source: "the supply's rating",
		})
	case want > c.Rating*(1+1e-9):
		fs = append(fs, finding.Finding{
			Severity: finding.Warn, Key: "circuit.supply_rating",
			What:  fmt.Sprintf("the supply of %.0f W is loaded to %.0f %%; at most %.0f %% is wanted", c.Rating, 100*c.Loading, 100/supplyMargin),
			Cause: "supplies live shorter, and sag, close to their rating", Mend: fmt.Sprintf("a supply of %.0f W or more", want), Source: source,
		})
	}
	if n.Limit != NoPowerLimit && (c.Rating > watts*(1+1e-9) || n.Current > amps) {
		fs = append(fs, finding.Finding{
			Severity: finding.Warn, Key: "circuit.supply_class",
			What:   fmt.Sprintf("%.0f W at %.3g V cannot be a %s supply, which ends at %.0f W", c.Rating, n.VOC, n.Limit, watts),
			Cause:  "the standard caps voltage times current so that a fault stays harmless",
			Mend:   "24 V strip, fewer watts, or several branches each on its own such supply and kept apart",
			Source: "UL 1310 and NEC chapter 9 table 11; IEC 62368-1 annex Q (read in part)",
		})
	}
	if n.Capacitor {
		fs = append(fs, finding.Finding{
			Severity: finding.Note, Key: "circuit.inrush",
			What:  "a capacitor behind the supply draws a surge when it is plugged in",
			Cause: "a hiccup supply may take the surge for a short and cycle; a fast fuse may open",
			Mend:  "plug the low-voltage side in first, then the mains; a time-lag fuse", Source: "common practice, no source",
		})
	}
	return c, fs
}

// MainsInrush is the sentence for the mains side of one or several supplies.
func MainsInrush(supplies int) finding.Finding {
	return finding.Finding{
		Severity: finding.Note, Key: "circuit.inrush_mains",
		What:  fmt.Sprintf("%d cold supplies on one switch can draw 30 to 60 A each for 1 to 3 ms", supplies),
		Cause: "their input capacitors are empty", Mend: "do not switch several at once on one small breaker or timer", Source: "common practice, no source",
	}
}
