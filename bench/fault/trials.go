package fault

import (
	"fmt"
	"math"

	"dawnsmith/lamp/circuit"
)

// Resistances put in for faults, Ω.
var (
	badJoint = []float64{0.3, 1, 4}
	badLead  = []float64{0.1, 0.3, 1}
)

const hardShort = 0.02

// trials lists every single fault that is tried on a layout.
func trials(l *circuit.Layout) []trial {
	open := math.Inf(1)
	out := []trial{
		{key: "none", what: "nothing: the lamp does what it should", prior: 0.5,
			next: "compare the readings with the commissioning sheet", mend: "none needed"},
		{key: "supply.off", what: "the fuse, the lead or the supply's output is open", prior: 3,
			change: func(n *circuit.Network) { n.Feeds[0].RPos = open },
			next:   "measure the supply's output without the lamp, then through the fuse: volts before it and none behind it means the fuse",
			mend:   "find why before changing a blown fuse: look for a short first"},
		{key: "lead.reversed", what: "plus and minus of the lead are swapped", prior: 2,
			change: func(n *circuit.Network) {
				for i := range n.Rows {
					n.Rows[i].Reversed = !n.Rows[i].Reversed
				}
			},
			next: "measure the polarity at the entry with the meter's red lead on plus",
			mend: "swap the lead's conductors; plain strip survives it, strip with electronics may not"},
		{key: "supply.trips", what: "the supply switches on and off: overload, short or inrush", prior: 1, blinks: true,
			next: "disconnect half of the rows: if it stays on, the load is too large or the short is in the other half",
			mend: "a stronger supply, or the short removed"},
	}
	for _, r := range []struct {
		share float64
		words string
	}{{0.5, "half its voltage (another type?)"}, {0.92, "8 % too little"}, {1.06, "6 % too much"}} {
		out = append(out, trial{key: "supply.volts", what: "the supply gives " + r.words, prior: 0.5,
			change: func(n *circuit.Network) { n.VOC *= r.share },
			next:   "measure the supply's output without the lamp", mend: "trim or change the supply before the lamp is used"})
	}
	for _, r := range badLead {
		out = append(out, trial{key: "lead.resistance", what: "lead, plug or fuse holder has too much resistance", prior: 0.6,
			change: func(n *circuit.Network) { n.Feeds[0].ContactPos += r },
			next:   "measure the volts at the supply and at the entry under load: the difference is lost in the lead; feel for warm plugs",
			mend:   "renew the plug or the joints, take thicker wire"})
	}
	for i, units := range l.RowUnits {
		name := fmt.Sprintf("row %d", i+1)
		out = append(out,
			trial{key: "row.reversed", what: name + " is soldered the wrong way round", prior: 2,
				change: func(n *circuit.Network) { n.Rows[i].Reversed = !n.Rows[i].Reversed },
				next:   "measure the row's pads: full volts with the signs swapped", mend: "resolder the row's two wires"},
			trial{key: "row.short", what: name + " has plus and minus bridged", prior: 0.7,
				change: func(n *circuit.Network) {
					n.Jumpers = append(n.Jumpers, circuit.Jumper{A: circuit.PadNode(i, circuit.RightPlus), B: circuit.PadNode(i, circuit.RightMinus), R: hardShort})
				},
				next: "supply off: resistance between the row's pads near zero", mend: "clear solder bridges and the cut edge; tape the row's end"},
		)
		for _, tap := range []struct {
			rail  circuit.Pad
			words string
		}{{circuit.LeftPlus, "plus"}, {circuit.LeftMinus, "minus"}} {
			out = append(out, trial{key: "row.tap", what: fmt.Sprintf("the %s tap of %s is open", tap.words, name), prior: 2,
				change: func(n *circuit.Network) {
					for t := range n.Rows[i].Taps {
						if plus := n.Rows[i].Taps[t].End == circuit.LeftPlus || n.Rows[i].Taps[t].End == circuit.RightPlus; plus == (tap.rail == circuit.LeftPlus) {
							n.Rows[i].Taps[t].R = open
						}
					}
				},
				next: "volts between the bus and the row's pad: full volts across an open tap", mend: "solder the tap again"})
		}
		for k := 0; k < units-1; k++ {
			for rail, words := range []string{"plus", "minus"} {
				out = append(out, trial{key: "row.rail", what: fmt.Sprintf("the %s rail of %s is open after unit %d", words, name, k+1), prior: 0.8 / float64(units),
					change: func(n *circuit.Network) {
						n.Rows[i].Breaks = append(n.Rows[i].Breaks, circuit.Break{Unit: k, Rail: rail})
					},
					next: "from the other rail's near pad to both sides of the place: volts appear on one side only; pressing on the place may revive it",
					mend: "bridge the rail with wire, or replace the rest of the row"})
			}
		}
		for k := 1; k < units; k++ {
			for _, r := range badJoint {
				out = append(out, trial{key: "row.joint", what: fmt.Sprintf("a joint in %s has too much resistance", name), prior: 0.5 / float64(units*len(badJoint)),
					change: func(n *circuit.Network) {
						n.Rows[i].Joints = append(n.Rows[i].Joints, circuit.Joint{Before: k, R: r})
					},
					next: "volts from unit to unit along the row: a step at the joint", mend: "reflow the factory joint, or bridge it"})
			}
		}
		for k := range units {
			out = append(out, trial{key: "unit.open", what: fmt.Sprintf("an LED or part of unit %d of %s is open", k+1, name), prior: 0.6 / float64(units),
				change: func(n *circuit.Network) { n.Rows[i].Units[k] = dead(n.Rows[i].Units[k]) },
				next:   "only these LEDs are dark, the rest of the row is as bright as before", mend: "cut the unit out and bridge, or replace the row"})
		}
	}
	for i := 0; i+1 < len(l.RowUnits); i++ {
		for bus, words := range []string{"plus", "minus"} {
			out = append(out, trial{key: "bus.open", what: fmt.Sprintf("the %s bus is broken between rows %d and %d", words, i+1, i+2), prior: 0.8,
				change: func(n *circuit.Network) {
					if bus < len(n.Buses) && i < len(n.Buses[bus].RSeg) {
						n.Buses[bus].RSeg[i] = open
					}
				},
				next: "every row past the break is dark; volts between the two bared windows on either side", mend: "solder or renew the bus wire there"})
		}
	}
	return out
}

// dead is a unit that carries no current.
func dead(u circuit.Unit) circuit.Unit {
	return circuit.Unit{Kind: circuit.PiecewiseLinear, VNom: u.VNom, V0: 59, R: 1e5}
}
