package wiring

import (
	"fmt"

	"dawnsmith/lamp"
	"dawnsmith/quantity"
)

// DeviceKind is a kind of thing between the wall socket and the tray.
type DeviceKind string

const (
	// SupplyDevice is the certified supply, used as sold.
	SupplyDevice DeviceKind = "supply"
	// ConnectorDevice parts the lamp from its supply.
	ConnectorDevice DeviceKind = "connector"
	// FuseDevice sits in the plus.
	FuseDevice DeviceKind = "fuse"
	// DimmerDevice switches the minus of every channel.
	DimmerDevice DeviceKind = "dimmer"
	// LeadDevice is the lead to the tray.
	LeadDevice DeviceKind = "lead"
)

// Device is one thing between supply and tray.
type Device struct {
	Kind  DeviceKind
	Name  string
	Place string // where it goes, and what to mind
	// In says which conductors pass it: all, or only the plus.
	PlusOnly bool
}

// inline lists what the current passes from the supply to the tray. The fuse
// stands in the plus, as near the supply as the connector allows, so that lead
// and lamp lie behind it.
func inline(l lamp.Lamp) []Device {
	sup := Device{Kind: SupplyDevice, Name: l.Supply.Name, Place: "as sold, closed, with its own mains plug; it is switched off at a switched socket"}
	con := Device{Kind: ConnectorDevice, Name: l.Connector.Name, Place: "at the supply's end of the lead, so that the lamp can be unplugged"}
	var fuse, dim []Device
	if l.Fuse != nil {
		fuse = []Device{{Kind: FuseDevice, Name: l.Fuse.Name, PlusOnly: true, Place: "in the plus, within 100 mm of the supply's end"}}
	}
	if d := l.Dimmer; d != nil {
		dim = []Device{{Kind: DimmerDevice, Name: d.Name, Place: fmt.Sprintf("behind the fuse; inputs plus and minus, outputs plus and %s", minuses(l))}}
	}
	lead := Device{Kind: LeadDevice, Name: fmt.Sprintf("lead, %d conductors of %s, %s long", l.BusWires(), l.Lead.Name, quantity.FormatIn(l.LeadLength, quantity.Length, "m", 3)),
		Place: "through a grommet, held by a clip before the tray so that a pull never reaches a joint"}
	out := []Device{sup}
	if len(dim) > 0 && (len(l.Strip.Channels) > 1 || l.Supply.Outlet != "" && l.Supply.Outlet != l.Connector.ID) {
		// The connector stands behind the dimmer, where each channel has its
		// own minus.
		con.Place = "between dimmer and lead, so that the lamp can be unplugged"
		out = append(out, fuse...)
		out = append(out, dim...)
		return append(out, con, lead)
	}
	out = append(out, con)
	out = append(out, fuse...)
	out = append(out, dim...)
	return append(out, lead)
}

func minuses(l lamp.Lamp) string {
	if len(l.Strip.Channels) == 1 {
		return "minus"
	}
	s := ""
	for i, c := range l.Strip.Channels {
		if i > 0 {
			s += " and "
		}
		s += "minus " + c.Name
	}
	return s
}
