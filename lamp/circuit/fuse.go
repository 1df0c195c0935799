package circuit

import (
	"fmt"
	"slices"

	"dawnsmith/finding"
)

// FuseStandard and FuseBlade are the rated currents, A, of miniature fuse
// links (IEC 60127-1, preferred values from the R 10 series) and of blade
// fuses (ISO 8820-3, from memory).
var (
	fuseStandard = [...]float64{0.5, 0.63, 0.8, 1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8, 10}
	fuseBlade    = [...]float64{1, 2, 3, 4, 5, 7.5, 10, 15}
)

// FuseValues are the standard rated currents, A: miniature links, or blades.
func FuseValues(blade bool) []float64 {
	if blade {
		return slices.Clone(fuseBlade[:])
	}
	return slices.Clone(fuseStandard[:])
}

// fuseMargin is fuse value over warm steady current; supplyStretch how far a
// fuse may exceed the supply's rated current. Common practice, no source.
const (
	fuseMargin    = 1.25
	supplyStretch = 1.2
	fuseVolts     = 32.0
)

const fuseSource = "values IEC 60127-1; 1.25 times steady current and not above the thinnest conductor: common practice, no source"

// FuseNeed is what a fuse must do.
type FuseNeed struct {
	Current     float64 // A, warm steady, everything on
	WireLimit   float64 // A of the thinnest conductor behind the fuse
	WireName    string  // which one, for the sentence
	SupplyRated float64 // A; 0 when not chosen yet
	Blade       bool    // blade fuses instead of miniature links
	Fitted      float64 // A of a fuse already chosen; 0 to choose
	FittedVolts float64 // V rating of that fuse; 0 when not stated
	VOC         float64 // V
}

// FuseChoice is the fuse.
type FuseChoice struct {
	Value  float64 // A; 0 when none fits
	Margin float64 // value over steady current
	Least  float64 // A, 1.25 times steady current
	Most   float64 // A, what the thinnest conductor bears
}

// ChooseFuse takes the smallest standard fuse of at least 1.25 times the
// steady current, or judges the fitted one. The place is the plus lead next to
// the supply, or the lamp's entry behind a sealed brick; branches of thinner
// wire need their own.
//
// Not modelled: derating of the fuse in warm air and the time curve; resettable
// fuses hold about 0.8 of their value at 40 °C and 0.6 at 60 °C.
func ChooseFuse(n FuseNeed) (FuseChoice, []finding.Finding) {
	c := FuseChoice{Least: fuseMargin * n.Current, Most: n.WireLimit}
	values := fuseStandard[:]
	if n.Blade {
		values = fuseBlade[:]
	}
	if !(n.Current > 0) {
		return c, nil
	}
	var fs []finding.Finding
	stop := func(key, what, cause, mend string) {
		fs = append(fs, finding.Finding{Severity: finding.Stop, Key: key, What: what, Cause: cause, Mend: mend, Source: fuseSource, NoOverride: true})
	}
	c.Value = n.Fitted
	if c.Value == 0 {
		for _, v := range values {
			if v >= c.Least {
				c.Value = v
				break
			}
		}
		if c.Value == 0 {
			stop("circuit.fuse_none", fmt.Sprintf("the lamp draws %.1f A; the largest standard fuse of %.3g A is below 1.25 times that", n.Current, values[len(values)-1]),
				"too much current for one fuse", "divide the lamp into branches with a fuse each, or use a higher voltage strip")
			return c, fs
		}
	}
	c.Margin = c.Value / n.Current
	if n.WireLimit > 0 && c.Value > n.WireLimit {
		mend := "thicker wire, or branches with a fuse each"
		if n.Fitted > 0 && c.Least <= n.WireLimit {
			mend = "a smaller fuse, or thicker wire"
		}
		stop("circuit.fuse_wire", fmt.Sprintf("a %.3g A fuse does not protect %s, which bears %.2g A", c.Value, orWord(n.WireName, "the thinnest wire"), n.WireLimit),
			fmt.Sprintf("the steady current of %.2f A asks for a fuse of %.2f A at least", n.Current, c.Least), mend)
	}
	if n.Fitted > 0 && c.Margin < fuseMargin {
		fs = append(fs, finding.Finding{
			Severity: finding.Warn, Key: "circuit.fuse_small",
			What:  fmt.Sprintf("the %.3g A fuse is %.2f times the steady current of %.2f A; 1.25 times or more is wanted", c.Value, c.Margin, n.Current),
			Cause: "a fuse run close to its value ages and opens for nothing", Mend: fmt.Sprintf("a fuse of %.2f A or more, if the wire allows it", c.Least), Source: fuseSource,
		})
	}
	if n.SupplyRated > 0 && c.Value > supplyStretch*n.SupplyRated {
		fs = append(fs, finding.Finding{
			Severity: finding.Warn, Key: "circuit.fuse_supply",
			What:  fmt.Sprintf("the %.3g A fuse is above 1.2 times the supply's %.3g A", c.Value, n.SupplyRated),
			Cause: "the supply limits first, so the fuse hardly ever opens", Mend: "a smaller fuse if the lamp allows it; otherwise rely on a supply that limits or switches off", Source: fuseSource,
		})
	}
	if n.FittedVolts > 0 && n.FittedVolts < max(fuseVolts, n.VOC) {
		stop("circuit.fuse_volts", fmt.Sprintf("the fuse is rated %.3g V; at least %.3g V DC is wanted", n.FittedVolts, max(fuseVolts, n.VOC)),
			"a fuse must break the full direct voltage without an arc", "a fuse of higher voltage rating")
	}
	return c, fs
}

func orWord(s, otherwise string) string {
	if s == "" {
		return otherwise
	}
	return s
}

// WireNeed is one conductor and its load.
type WireNeed struct {
	Name    string // "bus wire", "lead"
	Current float64
	Wire    Wire    // as planned
	Rating  float64 // A, the maker's, 0 to use the cautious table
}

// WireChoice is how the conductor stands.
type WireChoice struct {
	Limit    float64 // A
	Margin   float64 // limit over current
	Thinnest Wire    // the thinnest standard gauge that would do
}

// ChooseWire judges a conductor against its limit and names the thinnest gauge
// that carries the current.
func ChooseWire(n WireNeed) (WireChoice, []finding.Finding) {
	var c WireChoice
	for _, g := range gaugeLimits {
		if g.amp >= n.Current {
			c.Thinnest = AWG(g.awg)
			break
		}
	}
	limit, ok := n.Wire.Limit()
	source := limitSource
	if n.Rating > 0 {
		limit, ok, source = n.Rating, true, "the maker's rating as entered"
	}
	c.Limit = limit
	if n.Current > 0 {
		c.Margin = limit / n.Current
	}
	mend := "divide the load into branches"
	if c.Thinnest.Area > 0 {
		mend = fmt.Sprintf("%s of %s or thicker", n.Name, c.Thinnest)
	}
	switch {
	case !ok:
		return c, []finding.Finding{{
			Severity: finding.Stop, Key: "circuit.wire_thin",
			What:  fmt.Sprintf("%s of %s is thinner than 28 AWG, for which no limit is known; it carries %.2f A", n.Name, n.Wire, n.Current),
			Cause: "hair-thin copper breaks and glows before a fuse opens", Mend: mend + ", or enter the maker's rating", Source: source, NoOverride: true,
		}}
	case n.Current > limit:
		return c, []finding.Finding{{
			Severity: finding.Stop, Key: "circuit.wire_current",
			What:  fmt.Sprintf("%s of %s carries %.2f A; its limit is %.2g A", n.Name, n.Wire, n.Current, limit),
			Cause: "copper too thin for the current gets hot inside its insulation", Mend: mend, Source: source, NoOverride: true,
		}}
	case n.Current > 0.8*limit:
		return c, []finding.Finding{{
			Severity: finding.Note, Key: "circuit.wire_current",
			What:  fmt.Sprintf("%s of %s carries %.2f A, %.0f %% of its limit of %.2g A", n.Name, n.Wire, n.Current, 100*n.Current/limit, limit),
			Cause: "little room is left for a warmer place", Mend: "one gauge thicker costs little", Source: source,
		}}
	}
	return c, nil
}
