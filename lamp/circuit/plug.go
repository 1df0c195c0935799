package circuit

import (
	"fmt"
	"math"

	"dawnsmith/finding"
)

// Plug is a way of joining two conductors without soldering them for good.
type Plug uint8

const (
	// NoPlug: soldered through.
	NoPlug Plug = iota
	// BarrelSoldered: 5.5 mm barrel plug with soldered wires.
	BarrelSoldered
	// BarrelScrew: barrel plug on a screw terminal adapter.
	BarrelScrew
	// TerminalBlock: screw or lever terminals.
	TerminalBlock
	// PowerDIN: four-pin locking DIN plug, two pins each pole.
	PowerDIN
	// StripClip: clip-on connector on bare strip pads.
	StripClip
	plugCount
)

// plugFacts: limit A and contact resistance Ω per pole. Barrel parts are sold
// for 1 to 5 A; the others are common practice, no source.
var plugFacts = [plugCount]struct {
	key, words string
	amp, ohm   float64
}{
	{"none", "soldered joint", math.Inf(1), 0.001},
	{"barrel", "soldered barrel plug", 5, 0.02},
	{"barrel-screw", "barrel plug with screw terminals", 3, 0.03},
	{"terminal-block", "terminal block", 10, 0.005},
	{"din", "four-pin power plug", 10, 0.01},
	{"strip-clip", "clip-on strip connector", 2, 0.05},
}

// String gives the plug in words.
func (p Plug) String() string { return plugFacts[min(p, plugCount-1)].words }

// Limit is the default current limit, A, of one pole.
func (p Plug) Limit() float64 { return plugFacts[min(p, plugCount-1)].amp }

// ContactR is the default contact resistance, Ω, of one pole when new.
func (p Plug) ContactR() float64 { return plugFacts[min(p, plugCount-1)].ohm }

// MarshalText gives none, barrel, barrel-screw, terminal-block, din or
// strip-clip.
func (p Plug) MarshalText() ([]byte, error) {
	if p >= plugCount {
		return nil, fmt.Errorf("plug %d is not known", int(p))
	}
	return []byte(plugFacts[p].key), nil
}

// UnmarshalText reads the key.
func (p *Plug) UnmarshalText(b []byte) error {
	for i := range plugFacts {
		if plugFacts[i].key == string(b) {
			*p = Plug(i)
			return nil
		}
	}
	return fmt.Errorf("plug %q is not known; allowed: none, barrel, barrel-screw, terminal-block, din, strip-clip", b)
}

// PlugUse is a plug and its load.
type PlugUse struct {
	Plug     Plug
	Current  float64 // A
	Rating   float64 // A, the maker's, 0 for the default
	ContactR float64 // Ω per pole, 0 for the default
}

// PlugChoice is how the plug stands.
type PlugChoice struct {
	Limit  float64 // A
	Margin float64
	Heat   float64 // W in both poles
}

// CheckPlug judges a plug: limit, warning above 80 % of it, and the heat I²R
// of its contacts.
func CheckPlug(u PlugUse) (PlugChoice, []finding.Finding) {
	c := PlugChoice{Limit: u.Plug.Limit()}
	source := "cautious limit, common practice, no source; a maker's rating goes first"
	if u.Rating > 0 {
		c.Limit, source = u.Rating, "the maker's rating as entered"
	}
	r := u.ContactR
	if r == 0 {
		r = u.Plug.ContactR()
	}
	c.Heat = 2 * u.Current * u.Current * r
	if u.Current > 0 {
		c.Margin = c.Limit / u.Current
	}
	mend := "terminal block, four-pin power plug, or solder"
	if u.Current > PowerDIN.Limit() {
		mend = "divide the load over two plugs, or use a higher voltage"
	}
	f := finding.Finding{
		Key: "circuit.plug_current", Cause: fmt.Sprintf("its contacts make %.2g W of heat between them, more as they age", c.Heat), Mend: mend, Source: source,
		What: fmt.Sprintf("the %s carries %.2f A; its limit is %.2g A", u.Plug, u.Current, c.Limit),
	}
	switch {
	case u.Current > c.Limit:
		f.Severity = finding.Stop
	case u.Current > 0.8*c.Limit:
		f.Severity = finding.Warn
		f.What = fmt.Sprintf("the %s carries %.2f A, over 80 %% of its limit of %.2g A", u.Plug, u.Current, c.Limit)
	default:
		return c, nil
	}
	return c, []finding.Finding{f}
}

// DimmerUse is a low-voltage PWM dimmer between supply and strip.
type DimmerUse struct {
	Current   float64 // A fully on, one channel
	Rated     float64 // A per channel
	RDSOn     float64 // Ω of the switch
	Frequency float64 // Hz
	Bits      int     // resolution; 0 when not known
	Kind      Kind    // of the strip
	Analog    bool    // changes the voltage instead of switching
	Mains     bool    // sits on the mains side of the supply
}

// DimmerChoice is how the dimmer stands.
type DimmerChoice struct {
	Margin  float64 // rated over current
	Heat    float64 // W in the switch, fully on
	Drop    float64 // V across the switch
	ShortOn float64 // s, shortest on-time at full resolution; 0 when unknown
}

// CheckDimmer judges a dimmer: rated at least 1.25 times the current, its
// loss I²·R, what its frequency does to ears, and whether the strip can be
// dimmed that way. Flicker is judged in package flicker.
//
// Not modelled: switching loss, which grows with frequency.
func CheckDimmer(u DimmerUse) (DimmerChoice, []finding.Finding) {
	c := DimmerChoice{Heat: u.Current * u.Current * u.RDSOn, Drop: u.Current * u.RDSOn}
	var fs []finding.Finding
	const source = "common practice, no source"
	say := func(sev finding.Severity, key, what, cause, mend string) {
		fs = append(fs, finding.Finding{Severity: sev, Key: key, What: what, Cause: cause, Mend: mend, Source: source})
	}
	if u.Current > 0 && u.Rated > 0 {
		c.Margin = u.Rated / u.Current
		switch {
		case c.Margin < 1:
			say(finding.Stop, "circuit.dimmer_current", fmt.Sprintf("a dimmer rated %.3g A a channel carries %.2f A", u.Rated, u.Current),
				"its switch overheats, worst just below full brightness", fmt.Sprintf("a dimmer of %.1f A a channel or more", fuseMargin*u.Current))
		case c.Margin < fuseMargin:
			say(finding.Warn, "circuit.dimmer_current", fmt.Sprintf("a dimmer rated %.3g A a channel carries %.2f A; 1.25 times is wanted", u.Rated, u.Current),
				"its switch runs hot, worst just below full brightness", fmt.Sprintf("a dimmer of %.1f A a channel or more", fuseMargin*u.Current))
		}
	}
	if u.Mains {
		say(finding.Stop, "circuit.dimmer_mains", "the dimmer sits on the mains side of a plain supply",
			"phase dimmers chop the mains, which a plain supply answers with flicker, noise or failure", "a low-voltage dimmer between supply and lamp")
	}
	if u.Analog && u.Kind == ConstantCurrent {
		say(finding.Warn, "circuit.dimmer_analog", "lowering the voltage does not dim a strip with current-regulating ICs",
			"the regulators hold the current until they fall out of regulation all at once", "a PWM dimmer of 3 kHz or more")
	} else if u.Analog {
		say(finding.Note, "circuit.dimmer_analog", "dimming by voltage makes the lamp less even the lower it goes",
			"the drop in the copper stays while the headroom above the LEDs' own voltage shrinks", "a PWM dimmer of 3 kHz or more, or shorter runs")
	}
	if !u.Analog && u.Frequency > 0 {
		if u.Bits > 0 {
			c.ShortOn = 1 / (u.Frequency * math.Exp2(float64(u.Bits)))
		}
		if u.Frequency > 20 && u.Frequency < 20000 {
			say(finding.Note, "circuit.dimmer_whine", fmt.Sprintf("PWM at %.0f Hz is an audible frequency", u.Frequency),
				"coils and capacitors of the supply sing with the pulsed load", "a bulk capacitor before the dimmer, or more than 20 kHz")
		}
	}
	return c, fs
}
