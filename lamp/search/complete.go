package search

import (
	"cmp"
	"fmt"
	"slices"

	"dawnsmith/lamp"
	"dawnsmith/lamp/part"
	"dawnsmith/lamp/price"
)

// shelf is the catalogue sorted for choosing: each kind cheapest first among
// those that do.
type shelf struct {
	set       part.Set
	stock     price.Stock
	wires     []part.Wire // thinnest first
	supplies  []part.Supply
	fuses     []part.Fuse
	plugs     []part.Connector
	mounts    []part.Mount
	dimmers   []part.Dimmer
	backPaint []part.Consumable
	wide      bool // screen beyond the limits too, to explain
	every     bool // screen every number of rows, no ladder
}

func byPrice(a, b part.Item) int {
	return cmp.Or(cmp.Compare(a.Price.Cents, b.Price.Cents), cmp.Compare(a.ID, b.ID))
}

func newShelf(set part.Set) *shelf {
	s := &shelf{set: set, wires: slices.Clone(set.Wires), supplies: slices.Clone(set.Supplies), fuses: slices.Clone(set.Fuses),
		plugs: slices.Clone(set.Connectors), mounts: slices.Clone(set.Mounts), dimmers: slices.Clone(set.Dimmers)}
	slices.SortFunc(s.wires, func(a, b part.Wire) int { return cmp.Or(cmp.Compare(a.Area, b.Area), byPrice(a.Item, b.Item)) })
	slices.SortFunc(s.supplies, func(a, b part.Supply) int {
		return cmp.Or(cmp.Compare(a.Rating, b.Rating), byPrice(a.Item, b.Item))
	})
	slices.SortFunc(s.fuses, func(a, b part.Fuse) int { return cmp.Compare(a.Rating, b.Rating) })
	slices.SortFunc(s.plugs, func(a, b part.Connector) int { return byPrice(a.Item, b.Item) })
	slices.SortFunc(s.mounts, func(a, b part.Mount) int { return byPrice(a.Item, b.Item) })
	slices.SortFunc(s.dimmers, func(a, b part.Dimmer) int { return byPrice(a.Item, b.Item) })
	for _, c := range set.Consumables {
		if c.ForBack {
			s.backPaint = append(s.backPaint, c)
		}
	}
	slices.SortFunc(s.backPaint, func(a, b part.Consumable) int { return byPrice(a.Item, b.Item) })
	return s
}

// start gives a lamp what the search needs before the current is known: the
// strongest supply of the strip's voltage, the thickest wire, any connector.
func (s *shelf) start(strip part.Strip) (supply, wire, plug string, err error) {
	for _, p := range s.supplies {
		if fitsVoltage(p, strip) {
			supply = p.ID // the last one is the strongest
		}
	}
	switch {
	case supply == "":
		return "", "", "", fmt.Errorf("no supply of %g V for strip %q", strip.Voltage, strip.ID)
	case len(s.wires) == 0:
		return "", "", "", fmt.Errorf("no wire in the catalogue")
	}
	for _, c := range s.plugs {
		if c.Poles > len(strip.Channels) {
			return supply, s.wires[len(s.wires)-1].ID, c.ID, nil
		}
	}
	return "", "", "", fmt.Errorf("no connector of %d poles for strip %q", 1+len(strip.Channels), strip.ID)
}

func fitsVoltage(p part.Supply, strip part.Strip) bool {
	d := p.Voltage.X - strip.Voltage
	return d < 0.06*strip.Voltage && d > -0.06*strip.Voltage
}

// complete chooses what the current decides: the smallest supply of the rating
// asked for, wire, fuse and connector with margin, and a mount that carries
// the mass. current is that with every channel full on (A), upper its upper
// bound. It names the kind of part that the catalogue lacks.
func (s *shelf) complete(l *lamp.Spec, strip part.Strip, current, upper, rating, mass float64) (missing string) {
	i := slices.IndexFunc(s.supplies, func(p part.Supply) bool { return fitsVoltage(p, strip) && p.Rating >= rating*0.999 })
	if i < 0 {
		return fmt.Sprintf("a stronger supply of %g V", strip.Voltage)
	}
	supply := s.supplies[i]
	l.Supply = supply.ID

	poles := 1 + len(strip.Channels)
	fits := func(c part.Connector) bool { return c.Poles >= poles && c.Limit*0.8 >= current }
	// The connector that the supply ends in, where it is strong enough: a sealed
	// supply's plug is not cut off.
	i = slices.IndexFunc(s.plugs, func(c part.Connector) bool { return c.ID == supply.Outlet && fits(c) })
	if i < 0 {
		i = slices.IndexFunc(s.plugs, fits)
	}
	if i < 0 {
		return fmt.Sprintf("a stronger connector of %d poles", poles)
	}
	l.Connector = s.plugs[i].ID

	// Wire must stand the upper bound and be protected by a standard fuse of
	// at least 1.25 times the current.
	l.Fuse = ""
	for _, w := range s.wires {
		if w.Limit < upper {
			continue
		}
		j := slices.IndexFunc(s.fuses, func(f part.Fuse) bool {
			return f.Rating >= 1.25*current && f.Rating <= w.Limit && f.Voltage >= 1.2*strip.Voltage
		})
		if j < 0 {
			continue
		}
		l.Bus, l.Lead, l.Fuse = w.ID, w.ID, s.fuses[j].ID
		break
	}
	if l.Fuse == "" {
		return "thicker wire with a fuse to match"
	}

	l.Dimmer = ""
	if len(strip.Channels) > 1 {
		i = slices.IndexFunc(s.dimmers, func(d part.Dimmer) bool {
			return d.Channels >= len(strip.Channels) && d.Limit*0.8 >= current && d.Frequency >= 1250
		})
		if i < 0 {
			return fmt.Sprintf("a stronger dimmer of %d channels at 1250 Hz or more", len(strip.Channels))
		}
		l.Dimmer = s.dimmers[i].ID
	}

	i = slices.IndexFunc(s.mounts, func(m part.Mount) bool { return m.Load >= 1.2*mass && (m.Torque == 0 || m.Torque >= 2*mass*9.81*0.06) })
	l.Mount = ""
	if i >= 0 {
		l.Mount = s.mounts[i].ID
	}
	return ""
}
