package circuit

import (
	"fmt"
	"math"

	"dawnsmith/finding"
)

// ReviewInput is a layout and whatever of its surroundings is already chosen.
type ReviewInput struct {
	Layout   Layout
	Solution *Solution // of the layout fully on; nil to solve here

	SupplyWatts float64    // W rating; 0 to choose
	Limit       PowerLimit // what the supply is marked as
	Efficiency  float64    // of the supply; 0 for the default
	Fuse        float64    // A fitted; 0 to choose
	FuseVolts   float64    // V rating of the fuse; 0 when not stated
	NoFuse      bool       // none is going to be fitted
	Blade       bool
	Plug        Plug
	PlugRating  float64   // A, the maker's; 0 for the default
	BusRating   float64   // A, the maker's; 0 for the table
	LeadRating  float64   // A
	Dimmer      DimmerUse // Rated 0 for none; current, strip kind and resistance are filled in
}

// Reviewed is the electrical side of one lamp, chosen and judged.
type Reviewed struct {
	Solution    *Solution // everything fully on
	Supply      SupplyChoice
	Fuse        FuseChoice
	Bus, Lead   WireChoice
	Plug        PlugChoice
	Dimmer      DimmerChoice
	BusCurrent  float64 // A in the busiest bus segment or link
	TapCurrent  float64 // A in the busiest tap
	LeadCurrent float64 // A in the busiest lead
	Drop        float64 // V lost in leads and buses to the worst row
	Evenness    float64 // dimmest over brightest unit current, worst channel
	Weakest     Short   // the place where a short draws least
	FuseClears  bool    // whether a short there opens the fuse fast; if not, the supply's limit must
	Findings    []finding.Finding
}

// dropLimit is the share of nominal voltage that leads and buses may lose.
// Common practice, no source.
const dropLimit = 0.03

// Review solves the layout with every channel fully on and checks wire, fuse,
// supply, plug, dimmer, voltage, evenness and shorts. An error means that
// there is no solution to judge.
func Review(in ReviewInput) (Reviewed, error) {
	l := in.Layout.FullOn()
	n, err := l.Network()
	if err != nil {
		return Reviewed{}, err
	}
	r := Reviewed{Solution: in.Solution}
	if r.Solution == nil {
		if r.Solution, err = Solve(n); err != nil {
			return Reviewed{}, err
		}
	}
	s := r.Solution
	add := func(fs ...finding.Finding) { r.Findings = append(r.Findings, fs...) }

	for _, seg := range s.Segments {
		r.BusCurrent = maxAbs(r.BusCurrent, seg)
	}
	if l.Feed == FeedSerpentine {
		r.BusCurrent = maxAbs(r.BusCurrent, s.Jumpers)
	}
	for _, t := range s.Taps {
		r.TapCurrent = maxAbs(r.TapCurrent, t)
	}
	for _, f := range s.Leads {
		r.LeadCurrent = maxAbs(r.LeadCurrent, f[:])
	}
	r.Evenness = l.Evenness(s)
	r.Drop = l.drop(n, s)

	var fs []finding.Finding
	r.Bus, fs = ChooseWire(WireNeed{Name: "bus wire", Current: r.BusCurrent, Wire: l.Bus, Rating: in.BusRating})
	if len(l.RowUnits) > 1 {
		add(fs...)
	}
	r.Lead, fs = ChooseWire(WireNeed{Name: "lead", Current: r.LeadCurrent, Wire: l.Lead, Rating: in.LeadRating})
	add(fs...)
	r.Supply, fs = ChooseSupply(SupplyNeed{VOC: l.VOC, Current: s.SupplyCurrent, Rated: in.SupplyWatts, Limit: in.Limit, Efficiency: in.Efficiency})
	add(fs...)
	thin, name := r.Lead.Limit, "the lead"
	if len(l.RowUnits) > 1 && r.Bus.Limit < thin {
		thin, name = r.Bus.Limit, "the bus wire"
	}
	if !in.NoFuse {
		r.Fuse, fs = ChooseFuse(FuseNeed{
			Current: s.SupplyCurrent, WireLimit: thin, WireName: name, SupplyRated: r.Supply.RatedAmps,
			Blade: in.Blade, Fitted: in.Fuse, FittedVolts: in.FuseVolts, VOC: l.VOC,
		})
		add(fs...)
	}
	r.Plug, fs = CheckPlug(PlugUse{Plug: in.Plug, Current: r.LeadCurrent, Rating: in.PlugRating, ContactR: l.RContact})
	add(fs...)
	if in.Dimmer.Rated > 0 {
		d := in.Dimmer
		d.RDSOn, d.Kind = l.RDimmer, l.Channels[0].Unit.Kind
		for _, f := range s.Leads {
			d.Current = math.Max(d.Current, f[1])
		}
		r.Dimmer, fs = CheckDimmer(d)
		add(fs...)
	}
	shorts, err := Shorts(n)
	if err != nil {
		return Reviewed{}, err
	}
	if len(shorts) > 0 {
		r.Weakest = shorts[0]
		use := ShortUse{Prospective: r.Weakest.Current, SupplyRated: r.Supply.RatedAmps, Fuse: r.Fuse.Value, WireLimit: thin}
		r.FuseClears = use.FuseClears()
		add(CheckShort(use)...)
	}
	add(l.voltages()...)
	add(l.evenness(s, r.Evenness, r.Drop)...)
	add(l.runs()...)
	finding.Sort(r.Findings)
	return r, nil
}

func maxAbs(m float64, xs []float64) float64 {
	for _, x := range xs {
		m = max(m, math.Abs(x))
	}
	return m
}

// drop is the voltage lost between the supply's terminals and the worst row's
// taps; without buses, to the first row's first unit.
func (l *Layout) drop(n *Network, s *Solution) float64 {
	worst := 0.0
	if l.Feed == FeedSerpentine {
		return s.SupplyV - s.Rows[0].First.V[0]
	}
	for i := range n.Rows {
		plus, minus := math.Inf(-1), math.Inf(1)
		for _, t := range n.Rows[i].Taps {
			v := s.BusV[t.Bus.a][t.Bus.b]
			if t.End == LeftPlus || t.End == RightPlus {
				plus = max(plus, v)
			} else {
				minus = min(minus, v)
			}
		}
		worst = max(worst, s.SupplyV-(plus-minus))
	}
	return worst
}

// voltages compares supply and strip.
func (l *Layout) voltages() []finding.Finding {
	var fs []finding.Finding
	const source = "5 % of voltage is about 15 % of a resistor strip's current; limits common practice, no source"
	for c, ch := range l.Channels {
		u := ch.Unit
		over := l.VOC/u.VNom - 1
		i0, _ := u.Current(u.VNom)
		i, _ := u.Current(l.VOC)
		name := "the strip"
		if len(l.Channels) > 1 {
			name = fmt.Sprintf("channel %d", c+1)
		}
		f := finding.Finding{
			Key: "circuit.over_voltage", Source: source,
			What:  fmt.Sprintf("the supply gives %.1f V, %.0f %% over the %.3g V of %s; its units would draw %.0f %% of nominal current", l.VOC, 100*over, u.VNom, name, 100*i/i0),
			Cause: "beyond their own voltage LEDs take current limited by little but the ballast",
			Mend:  fmt.Sprintf("a %.3g V supply, trimmed with a meter before the lamp is connected", u.VNom),
		}
		switch {
		case over > 0.10:
			f.Severity, f.NoOverride = finding.Stop, true
			fs = append(fs, f)
		case over > 0.03:
			f.Severity = finding.Warn
			fs = append(fs, f)
		case over < -0.10:
			fs = append(fs, finding.Finding{
				Severity: finding.Warn, Key: "circuit.under_voltage", Source: source,
				What:  fmt.Sprintf("the supply gives %.1f V for %s of %.3g V; its units would draw %.0f %% of nominal current", l.VOC, name, u.VNom, 100*i/i0),
				Cause: "near the LEDs' own voltage little current flows", Mend: fmt.Sprintf("a %.3g V supply", u.VNom),
			})
		}
	}
	return fs
}

// evenness judges dark and cut-off units, unevenness and drop.
func (l *Layout) evenness(s *Solution, even, drop float64) []finding.Finding {
	var fs []finding.Finding
	const source = "common practice, no source"
	if s.Lit < s.Units {
		fs = append(fs, finding.Finding{
			Severity: finding.Stop, Key: "circuit.dark_units",
			What:  fmt.Sprintf("%d of %d units stay dark", s.Units-s.Lit, s.Units),
			Cause: "they are cut off, reversed, or get less than their knee voltage",
			Mend:  "check polarity, taps and breaks, or feed closer to them", Source: source,
		})
	}
	if s.Lit > 0 && even < EvenTarget {
		f := finding.Finding{
			Severity: finding.Note, Key: "circuit.evenness",
			What:  fmt.Sprintf("the dimmest unit draws %.1f %% of the brightest; at least %.0f %% is wanted, %.0f %% is the target", 100*even, 100*EvenFloor, 100*EvenTarget),
			Cause: "voltage is lost along buses and rails",
			Mend:  "plus at the first row and minus at the last, the lead at the middle row, thicker bus wire, or shorter rows", Source: source,
		}
		if even < EvenFloor {
			f.Severity = finding.Warn
		}
		fs = append(fs, f)
	}
	v := l.Channels[0].Unit.VNom
	if drop > dropLimit*v {
		fs = append(fs, finding.Finding{
			Severity: finding.Warn, Key: "circuit.voltage_drop",
			What:  fmt.Sprintf("leads and buses lose %.2f V of %.3g V (%.1f %%); at most %.0f %% is wanted", drop, v, 100*drop/v, 100*dropLimit),
			Cause: "long or thin lead and bus wire", Mend: "thicker or shorter lead and bus wire, or 24 V strip instead of 12 V", Source: source,
		})
	}
	return fs
}

// runs compares the longest single-fed length with what the strip bears.
func (l *Layout) runs() []finding.Finding {
	run := l.RowLength()
	switch l.Feed {
	case FeedSerpentine:
		run = 0
		for _, u := range l.RowUnits {
			run += float64(u) * l.CutLength
		}
	case FeedBothEnds, FeedOpposite, FeedOppositeReverse:
		run /= 2 // spread is a quarter, as in half the length
	}
	if l.RailR == 0 {
		return nil
	}
	lim, err := LongestRun(RunInput{Unit: l.Channels[0].Unit, CutLength: l.CutLength, RailR: l.RailR, V: l.VOC, Loss: 1 - EvenFloor})
	if err != nil || run <= lim.Length {
		return nil
	}
	return []finding.Finding{{
		Severity: finding.Warn, Key: "circuit.run_length",
		What:  fmt.Sprintf("%.2f m of strip hang on one feed; its end loses 5 %% of current from %.2f m on", run, lim.Length),
		Cause: "the strip's own copper carries everything", Mend: "feed the rows by a bus instead of in series, feed both ends, or strip with more copper",
		Source: "fin equation of a ladder with even load, closed form in this package",
	}}
}
