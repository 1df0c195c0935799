// Package lamp holds the one noun that all of Dawnsmith shares: a lamp, that
// is parts placed in a tray, with its channels, its feed and its geometry.
//
// A Spec is the document: which parts, how many rows, how fed. A Lamp is the
// Spec with the parts themselves in place of their ids; everything computed
// starts from a Lamp. Packages under lamp/ compute, this one only places.
package lamp

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"dawnsmith/finding"
	"dawnsmith/lamp/brief"
	"dawnsmith/lamp/part"
	"dawnsmith/quantity"
)

// Spec is a lamp document: everything needed to rebuild the lamp.
type Spec struct {
	Schema   int    `doc:"schema,required"`
	Name     string `doc:"name,required"`
	Note     string `doc:"note"`
	Revision int    `doc:"revision"`

	Tray  string `doc:"tray,required"`
	Strip string `doc:"strip,required"`
	// Second is the id of another strip, alike but for its colour, for every
	// second row: rows 1, 3, 5 … are of Strip, rows 2, 4, 6 … of Second, and the
	// lamp has two channels, "warm" and "cool" by their colour temperatures.
	Second string `doc:"second_strip"`
	// Sheet is the diffuser's id; "" leaves the LEDs bare, which is a stop.
	Sheet string `doc:"sheet"`
	// SecondSheet is the id of one laid on the first, outside: it takes out the
	// dots that the first lets through, and some of the light.
	SecondSheet string `doc:"second_sheet"`
	// Lining is the lining's id; "" leaves the metal bare. LineFloor lines the
	// floor between the rows too.
	Lining    string `doc:"lining"`
	LineFloor bool   `doc:"line_floor"`
	// Paint is the id of the consumable that paints the tray's back; "" leaves
	// it as sold.
	Paint string `doc:"paint_back"`

	// Rows lie Along the tray's "length" or "width".
	Rows  int  `doc:"rows,required"`
	Along Side `doc:"along"`
	// Units is the number of cut units in a row; 0 fills the row.
	Units int `doc:"units_per_row"`
	// Pitch is between neighbouring rows, m; 0 spreads the rows evenly with
	// half a pitch at either wall.
	Pitch float64 `doc:"row_pitch" dim:"length"`
	// Lines are the centre lines of the rows one by one, m from the wall beside
	// the first, rising, one for each row; nil: evenly, by Pitch. Rows closer
	// together near the walls make the face's rim brighter.
	Lines []float64 `doc:"row_lines" dim:"length"`
	// Staggered lays every second row half an LED's spacing further from the
	// wired end, so that LEDs stand over gaps.
	Staggered bool `doc:"staggered"`
	// WiredMargin and FreeMargin are kept clear at the wired and the free end
	// of the rows, m; 0: 12 mm and 4 mm.
	WiredMargin float64 `doc:"wired_margin" dim:"length"`
	FreeMargin  float64 `doc:"free_margin" dim:"length"`

	Supply     string  `doc:"supply,required"`
	Feed       string  `doc:"feed"` // how the rows are fed; "" is "first-row"
	Bus        string  `doc:"bus_wire,required"`
	Lead       string  `doc:"lead_wire,required"`
	LeadLength float64 `doc:"lead_length" dim:"length"` // one way, m; 0: 1.5 m
	Connector  string  `doc:"connector,required"`
	Fuse       string  `doc:"fuse"`
	Dimmer     string  `doc:"dimmer"`
	Mount      string  `doc:"mount"`

	// Drive is the duty of each channel by name, 0 to 1; left out: 1.
	Drive map[string]float64 `doc:"drive" dim:"ratio"`
	// Place is where the lamp is used.
	Place brief.Place `doc:"place"`
	// Readings are temperatures measured on the built lamp; the prediction's
	// heat goes by them.
	Readings []Reading `doc:"reading"`
	// Overrides are stops that the owner takes upon himself.
	Overrides []Override `doc:"override"`
	// Parts are carried along so that the file stands alone; they are laid
	// over the catalogue.
	Parts part.Set `doc:"parts"`
}

// Override is an owner's written reason for building in spite of a stop.
type Override struct {
	Finding string `doc:"finding,required"`
	Reason  string `doc:"reason,required"`
}

// Reading is a temperature measured on the built lamp at its full drive.
type Reading struct {
	// At is "tray" (the warmest place of the back), "strip" (beside an LED of
	// the warmest row) or "sheet".
	At          string  `doc:"at,required"`
	Temperature float64 `doc:"temperature,required" dim:"temperature"` // K
	// After is the time since switching on, s; 0: settled.
	After float64 `doc:"after" dim:"time"`
	// Air is that at the lamp while it was read, K; 0: as in Place.
	Air float64 `doc:"air" dim:"temperature"`
}

// Side is a direction on the tray's floor.
type Side string

const (
	// AlongLength rows run along the longer side.
	AlongLength Side = "length"
	// AlongWidth rows run along the shorter side.
	AlongWidth Side = "width"
)

// Defaults of a Spec, all common practice, no source.
const (
	DefaultWiredMargin = 0.012 // m, where a bus wire runs and bends
	DefaultFreeMargin  = 0.004 // m
	DefaultLeadLength  = 1.5   // m
	rowGap             = 0.001 // m, least clearance between neighbouring strips
)

// Lamp is a Spec with its parts in place.
type Lamp struct {
	Spec
	Tray part.Tray
	// Strip is what the rows are made of. With a second strip it has the
	// channels of both and an id that no part has; Strips has them as they are sold.
	Strip part.Strip
	// pair are the strips as sold of a lamp with interleaved rows.
	pair []part.Strip
	// Sheet is nil with bare LEDs. With a second sheet it is what both make
	// together, with an id that no part has; Sheets has them as they are sold.
	Sheet     *part.Sheet
	sheets    []part.Sheet
	Lining    *part.Lining // nil: bare metal
	Paint     *part.Consumable
	Supply    part.Supply
	Bus       part.Wire
	Lead      part.Wire
	Connector part.Connector
	Fuse      *part.Fuse
	Dimmer    *part.Dimmer
	Mount     *part.Mount
}

// Build puts the parts of set (under those that the Spec carries itself) in
// place of the ids. It fails when an id is unknown or a number makes no sense;
// what can be placed but should not be built comes from Review.
func Build(s Spec, set part.Set) (Lamp, error) {
	set = set.Layer(s.Parts)
	l := Lamp{Spec: s}
	l.Spec.Place = s.Place.WithDefaults()
	if l.Spec.Along == "" {
		l.Spec.Along = AlongLength
	}
	if l.Spec.Feed == "" {
		l.Spec.Feed = "first-row"
	}
	def := func(x *float64, d float64) {
		if *x == 0 {
			*x = d
		}
	}
	def(&l.Spec.WiredMargin, DefaultWiredMargin)
	def(&l.Spec.FreeMargin, DefaultFreeMargin)
	def(&l.Spec.LeadLength, DefaultLeadLength)

	var errs []error
	must(&errs, &l.Tray, set.Trays, "tray", s.Tray)
	must(&errs, &l.Strip, set.Strips, "strip", s.Strip)
	must(&errs, &l.Supply, set.Supplies, "supply", s.Supply)
	must(&errs, &l.Bus, set.Wires, "wire", s.Bus)
	must(&errs, &l.Lead, set.Wires, "wire", s.Lead)
	must(&errs, &l.Connector, set.Connectors, "connector", s.Connector)
	may(&errs, &l.Sheet, set.Sheets, "sheet", s.Sheet)
	if s.SecondSheet != "" {
		var second part.Sheet
		if must(&errs, &second, set.Sheets, "sheet", s.SecondSheet); len(errs) == 0 {
			if l.Sheet == nil {
				errs = append(errs, fmt.Errorf("second_sheet is %q and there is no sheet for it to lie on; write it as sheet", s.SecondSheet))
			} else {
				l.double(second)
			}
		}
	}
	may(&errs, &l.Lining, set.Linings, "lining", s.Lining)
	may(&errs, &l.Paint, set.Consumables, "consumable", s.Paint)
	may(&errs, &l.Fuse, set.Fuses, "fuse", s.Fuse)
	may(&errs, &l.Dimmer, set.Dimmers, "dimmer", s.Dimmer)
	may(&errs, &l.Mount, set.Mounts, "mount", s.Mount)
	var second part.Strip
	if s.Second != "" {
		must(&errs, &second, set.Strips, "strip", s.Second)
	}
	if len(errs) > 0 {
		return Lamp{}, fmt.Errorf("lamp %q: %w", s.Name, errs[0])
	}
	if s.Second != "" {
		if err := l.Interleave(second); err != nil {
			return Lamp{}, fmt.Errorf("lamp %q: %w", s.Name, err)
		}
	}
	if err := l.check(); err != nil {
		return Lamp{}, fmt.Errorf("lamp %q: %w", s.Name, err)
	}
	if l.Spec.Units == 0 {
		l.Spec.Units = l.UnitsThatFit()
	}
	return l, nil
}

func must[P part.Part](errs *[]error, dst *P, ps []P, kind, id string) {
	p, err := part.Find(ps, kind, id)
	if err == nil {
		err = p.Check()
	}
	if err != nil {
		*errs = append(*errs, err)
		return
	}
	*dst = p
}

func may[P part.Part](errs *[]error, dst **P, ps []P, kind, id string) {
	if id == "" {
		return
	}
	var p P
	n := len(*errs)
	must(errs, &p, ps, kind, id)
	if len(*errs) == n {
		*dst = &p
	}
}

func (l Lamp) check() error {
	if l.Spec.Along != AlongLength && l.Spec.Along != AlongWidth {
		return fmt.Errorf(`along is %q; allowed is "length" or "width"`, l.Spec.Along)
	}
	if err := l.Spec.Place.Check(); err != nil {
		return err
	}
	mm := func(x float64) string { return quantity.Format(x, quantity.Length, 4) }
	for _, m := range []struct {
		key string
		x   float64
		hi  float64
	}{{"wired_margin", l.WiredMargin, 0.1}, {"free_margin", l.FreeMargin, 0.1}, {"lead_length", l.LeadLength, 20}, {"row_pitch", l.Spec.Pitch, 1}} {
		if !(m.x >= 0 && m.x <= m.hi) {
			return fmt.Errorf("%s is %s; allowed is 0 to %s", m.key, mm(m.x), mm(m.hi))
		}
	}
	if l.Sheet != nil && l.Height() <= l.Strip.Height+0.002 {
		return fmt.Errorf("tray %q is %s deep and the LEDs of strip %q stand %s high: no room for a sheet; take a deeper tray", l.Tray.ID, mm(l.Tray.Depth), l.Strip.ID, mm(l.Strip.Height))
	}
	shift := ""
	if s := l.Stagger(); s > 0 {
		shift = fmt.Sprintf(", and %s for the shift of every second row", mm(s))
	}
	if fit := l.UnitsThatFit(); fit < 1 {
		return fmt.Errorf("no cut unit (%s) fits a row of %s with %s and %s kept clear at its ends%s; take a longer tray, a strip with a shorter cut length, or smaller margins",
			mm(l.Strip.Cut), mm(l.RunLength()), mm(l.WiredMargin), mm(l.FreeMargin), shift)
	} else if l.Spec.Units < 0 || l.Spec.Units > fit {
		return fmt.Errorf("units_per_row is %d; %d fit a row of %s (%s each, %s and %s kept clear at the ends%s); allowed is 1 to %d, or 0 to fill the row",
			l.Spec.Units, fit, mm(l.RunLength()), mm(l.Strip.Cut), mm(l.WiredMargin), mm(l.FreeMargin), shift, fit)
	}
	most := l.RowsThatFit()
	if l.Spec.Rows < 1 || l.Spec.Rows > most {
		return fmt.Errorf("rows is %d; allowed is 1 to %d strips of %s in %s across", l.Spec.Rows, most, mm(l.Strip.Width), mm(l.Across()))
	}
	if need := float64(l.Spec.Rows-1)*l.Spec.Pitch + l.Strip.Width; l.Spec.Pitch > 0 {
		if l.Spec.Rows > 1 && l.Spec.Pitch < l.Strip.Width+rowGap {
			return fmt.Errorf("row_pitch is %s; strips of %s need at least %s", mm(l.Spec.Pitch), mm(l.Strip.Width), mm(l.Strip.Width+rowGap))
		}
		if need > l.Across() {
			return fmt.Errorf("%d rows at a pitch of %s take %s; the tray has %s across", l.Spec.Rows, mm(l.Spec.Pitch), mm(need), mm(l.Across()))
		}
	}
	if err := l.checkLines(); err != nil {
		return err
	}
	for name, duty := range l.Drive {
		if !slices.ContainsFunc(l.Strip.Channels, func(c part.Channel) bool { return c.Name == name }) {
			return fmt.Errorf("drive names channel %q; strip %q has %v", name, l.Strip.ID, l.ChannelNames())
		}
		if !(duty >= 0 && duty <= 1) {
			return fmt.Errorf("drive of channel %q is %v; allowed is 0 to 1", name, duty)
		}
	}
	lit := false
	for i := range l.Strip.Channels {
		lit = lit || l.Duty(i) > 0
	}
	if !lit {
		return fmt.Errorf("drive turns every channel off; give at least one a value above 0")
	}
	for i, r := range l.Readings {
		if r.At != "tray" && r.At != "strip" && r.At != "sheet" {
			return fmt.Errorf("reading %d was taken at %q; allowed is tray (the warmest place of its back), strip or sheet", i+1, r.At)
		}
		if air := cmp.Or(r.Air, l.Place.Air); !(r.Temperature > air+2 && r.Temperature < 420) {
			return fmt.Errorf("reading %d is %s in air of %s; allowed is from 2 K over the air to 147 °C: read it on the warm lamp and give the air at the lamp as it was", i+1,
				quantity.Format(r.Temperature, quantity.Temperature, 3), quantity.Format(air, quantity.Temperature, 3))
		}
		if !(r.After >= 0 && r.After <= 7*86400) {
			return fmt.Errorf("reading %d was taken %s after switching on; allowed is 0 (settled) to a week", i+1, quantity.Format(r.After, quantity.Time, 3))
		}
	}
	for i, o := range l.Overrides {
		if len(o.Reason) < 10 {
			return fmt.Errorf("override %d of %q gives no reason; write one sentence, it is printed on the pack's first page", i+1, o.Finding)
		}
	}
	return nil
}

// checkLines refuses rows that overlap, leave the floor or are not as many as
// Rows says.
func (l Lamp) checkLines() error {
	if l.Lines == nil {
		return nil
	}
	mm := func(x float64) string { return quantity.Format(x, quantity.Length, 4) }
	if l.Spec.Pitch > 0 {
		return fmt.Errorf("row_pitch and row_lines are both given; take one of them out")
	}
	if len(l.Lines) != l.Spec.Rows {
		return fmt.Errorf("row_lines places %d rows and rows is %d; give one line for each row", len(l.Lines), l.Spec.Rows)
	}
	last := -l.Strip.Width/2 - rowGap
	for i, y := range l.Lines {
		least, most := last+l.Strip.Width+rowGap, l.Across()-l.Strip.Width/2
		if !(y >= least-1e-9 && y <= most+1e-9) {
			return fmt.Errorf("row_lines puts row %d at %s; allowed is %s to %s: strips of %s lie on the floor and at least %s apart", i+1, mm(y), mm(least), mm(most), mm(l.Strip.Width), mm(rowGap))
		}
		last = y
	}
	return nil
}

// ChannelNames lists the strip's channels in order.
func (l Lamp) ChannelNames() []string {
	var names []string
	for _, c := range l.Strip.Channels {
		names = append(names, c.Name)
	}
	return names
}

// Duty is the drive of channel i, 0 to 1.
func (l Lamp) Duty(i int) float64 {
	if d, ok := l.Drive[l.Strip.Channels[i].Name]; ok {
		return d
	}
	return 1
}

// BackEmissivity is that of the paint, if any, else of the tray as sold.
func (l Lamp) BackEmissivity() float64 {
	if l.Paint != nil {
		return l.Paint.Emissivity
	}
	return l.Tray.EmissivityBack.X
}

// Review lists what the parts themselves say against building the lamp, with
// no computation but geometry: voltage match, a missing sheet, reel length,
// poles, and the paint.
func (l Lamp) Review() []finding.Finding {
	var fs []finding.Finding
	if v := l.Supply.Voltage.X; math.Abs(v-l.Strip.Voltage) > 0.06*l.Strip.Voltage {
		f := finding.Finding{Severity: finding.Stop, Key: "circuit.voltage_match", NoOverride: true,
			What:   fmt.Sprintf("the supply gives %s, the strip is made for %s", quantity.Format(v, quantity.Voltage, 3), quantity.Format(l.Strip.Voltage, quantity.Voltage, 3)),
			Cause:  "strips and supplies of 12 V and 24 V look alike",
			Mend:   fmt.Sprintf("take a supply of %s", quantity.Format(l.Strip.Voltage, quantity.Voltage, 3)),
			Source: "common practice, no source: within 6 % of the strip's nominal voltage"}
		fs = append(fs, f)
	}
	if l.Sheet == nil {
		fs = append(fs, finding.Finding{Severity: finding.Stop, Key: "lamp.no_sheet", NoOverride: true,
			What:  "no sheet covers the LEDs",
			Cause: "bare LED chips reach millions of cd/m² and dazzle at any distance",
			Mend:  "choose a sheet", Source: "IEC 62471:2006 gives the limits for blue light; the rule itself is common practice"})
	}
	if need := l.RowLength(); need > l.Strip.Reel+1e-9 {
		fs = append(fs, finding.Finding{Severity: finding.Stop, Key: "cut.reel_shorter_than_row",
			What:    fmt.Sprintf("a row is %s long, the reel holds %s", quantity.Format(need, quantity.Length, 4), quantity.Format(l.Strip.Reel, quantity.Length, 4)),
			Cause:   "a row is cut in one piece",
			Mend:    fmt.Sprintf("make the rows at most %d units long, or take a longer reel", l.Strip.UnitsPerReel()),
			Changes: []finding.Change{{Path: "units_per_row", Value: fmt.Sprint(l.Strip.UnitsPerReel())}}, Source: "arithmetic"})
	}
	if poles := 1 + len(l.Strip.Channels); l.Connector.Poles < poles {
		fs = append(fs, finding.Finding{Severity: finding.Stop, Key: "circuit.connector_poles",
			What:  fmt.Sprintf("the connector has %d poles, the lamp needs %d", l.Connector.Poles, poles),
			Cause: "each channel has its own minus beside the shared plus", Mend: fmt.Sprintf("take a connector of %d poles", poles), Source: "arithmetic"})
	}
	if l.Dimmer != nil && l.Dimmer.Channels < len(l.Strip.Channels) {
		fs = append(fs, finding.Finding{Severity: finding.Warn, Key: "circuit.dimmer_channels",
			What:  fmt.Sprintf("the dimmer has %d channel, the strip has %d", l.Dimmer.Channels, len(l.Strip.Channels)),
			Cause: "both channels would be dimmed together", Mend: "take a dimmer with a channel for each", Source: "arithmetic"})
	}
	if l.Dimmer == nil {
		for i, c := range l.Strip.Channels {
			if d := l.Duty(i); d > 0 && d < 1 {
				fs = append(fs, finding.Finding{Severity: finding.Warn, Key: "lamp.drive_without_dimmer",
					What:  fmt.Sprintf("channel %q is to run at %.0f %%, and no dimmer is fitted", c.Name, d*100),
					Cause: "without a dimmer a channel is either off or full on", Mend: "add a dimmer, or drive the channel at 0 or 1", Source: "arithmetic"})
			}
		}
	}
	if l.Paint != nil && l.Tray.Painted {
		fs = append(fs, finding.Finding{Severity: finding.Note, Key: "lamp.painted_twice",
			What: "the tray is sold with a painted back and the lamp paints it again", Mend: "leave paint_back out",
			Changes: []finding.Change{{Path: "paint_back", Value: `""`}}, Source: "arithmetic"})
	}
	return fs
}
