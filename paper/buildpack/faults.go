package buildpack

import (
	"fmt"

	"dawnsmith/lamp"
)

// Fault is one sign of trouble with what to do about it.
type Fault struct {
	ID    string // "T3"
	Sign  string
	Cause string
	Do    string
}

// faults lists what a finished or half-finished lamp may show. Common practice
// and what builders report, no single source.
func faults(l lamp.Lamp) []Fault {
	var out []Fault
	add := func(sign, cause, do string) {
		out = append(out, Fault{fmt.Sprintf("T%d", len(out)+1), sign, cause, do})
	}
	add("A few ohms between plus and minus", "a strand, a solder ball or a bared window across two pads; a row end on metal", "Unplug. Part the wires at the entry, read each bus alone, then lift the taps of one row after the other until the reading rises: the last row lifted has the fault. Clean, tape, read again.")
	add("Less than a megohm to the tray", "a cut row end, a window or a joint touches metal; swarf", "Look along the row ends with a lamp. Lift the row end and lay new tape beneath; brush out; read again.")
	add("The whole lamp stays dark", "supply off, fuse open, plug reversed, lead not through", "Unplug and test the fuse with the meter. Then read the supply's voltage and its sign, and follow plus and minus from joint to joint.")
	add("One row stays dark", "the row lies the wrong way round, or one of its taps is open", "Read the volts at its pads. Near zero: a tap is open, solder it again. Full volts with the minus sign: the row is reversed, turn it at once.")
	add("A row is dark from one point on", "a rail is broken at a factory joint or a bend", "Bridge the joint with solder on the rail that lost its voltage, or replace the row.")
	if l.Feed != "serpentine" {
		add("All rows beyond one row stay dark", "the bus is broken at that window", "Solder a short wire over the break, sleeve it.")
	}
	if l.Strip.Series > 1 {
		add(fmt.Sprintf("A group of %d LEDs is dark", l.Strip.Series), "one LED of a series string is open", "Nothing else suffers. Replace the unit if the gap shows through the sheet.")
	}
	add("The far rows or row ends are dimmer", "voltage is lost in the bus or in the rails", "Compare the volts at the near and the far pads with the sheet of readings; look for a cold joint on the way.")
	add("The lamp blinks about once a second", "the supply shuts down and tries again: overload or short", "Unplug. Read the resistance again; if it is right, the supply is too small for the lamp.")
	add("The bulb in series lights brightly", "a short in the lamp", "Unplug at once and do as for a few ohms between plus and minus.")
	add("The current is more than expected", "a short between units, the wrong supply voltage, or a strip stronger than its label", "Unplug. Read the supply's voltage; then feel along the rows after ten seconds of limited power for a hot spot.")
	add("The current is less than expected", "rows dark, a bad joint, or a strip weaker than its label", "Count the lit units. If all are lit, read the volts at the near pads: full volts mean that the strip is weaker than its label.")
	add("Hotter than expected", "less metal contact, warmer air, or more watts", "Press the rows down. Paint the back matt, give it free air, or lower the voltage or the number of rows. Do not go on over a limit.")
	add("Less light than expected", "a lower current, a sheet or a lining unlike the one planned, a tilted meter", "Check the current first, then the distance and the meter's direction, then measure sheet and lining alone.")
	return out
}

// faultFor finds the number of a fault by the start of its sign.
func (p *Pack) faultFor(sign string) string {
	for _, f := range p.faults {
		if len(f.Sign) >= len(sign) && f.Sign[:len(sign)] == sign {
			return f.ID
		}
	}
	panic("buildpack: no fault begins with " + sign)
}

// readingFor finds the number of a reading by the start of its name.
func (p *Pack) readingFor(name string) string {
	for _, r := range p.readings {
		if len(r.Name) >= len(name) && r.Name[:len(name)] == name {
			return r.ID
		}
	}
	panic("buildpack: no reading begins with " + name)
}
