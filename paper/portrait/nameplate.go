package portrait

import (
	"fmt"
	"strings"

	"dawnsmith/lamp"
	"dawnsmith/lamp/part"
	"dawnsmith/paper/draw"
	"dawnsmith/quantity"
)

// Plate is what stands on a lamp's nameplate.
type Plate struct {
	Name     string
	Revision int
	Serial   string // "" leaves a line to write on
	Built    string // date, "" leaves a line to write on
	// Volts, Amps and Watts are those at the lamp's connector, with every
	// channel full on.
	Volts, Amps, Watts float64
	Supply             string
	SupplySerial       string
	Fuse               *part.Fuse
	Sheet              bool
}

// PlateOf fills the plate of a lamp: amps is the predicted warm current.
func PlateOf(l lamp.Lamp, amps float64) Plate {
	return Plate{Name: l.Name, Revision: l.Revision, Volts: l.Strip.Voltage, Amps: amps, Watts: l.Supply.Voltage.X * amps, Supply: l.Supply.Name, Fuse: l.Fuse, Sheet: l.Sheet != nil}
}

// PlateWidth and PlateHeight are the size of a nameplate, mm.
const (
	PlateWidth  = 90.0
	PlateHeight = 58.0
)

// Nameplate draws the label for a lamp's back at true scale: what to connect it
// to, which unit it is, and the cautions that must stay with it.
func Nameplate(c Plate) draw.Scene {
	s := draw.NewScene(PlateWidth, PlateHeight, "Nameplate of "+c.Name, fmt.Sprintf("Label of %.0f by %.0f mm with volts, amps, watts, serial, date and cautions.", PlateWidth, PlateHeight))
	s.Layer = "PLATE"
	s.RoundRect(0.3, 0.3, PlateWidth-0.6, PlateHeight-0.6, 2, draw.Stroke(draw.Ink, draw.WidthLine))
	const x, right = 4.0, PlateWidth - 4
	bold := draw.TextStyle{Size: draw.SizeBody, Bold: true}
	small := draw.TextStyle{Size: draw.SizeSmall}
	name := bold
	for name.Size > draw.SizeSmall && draw.TextWidth(c.Name, name.Size, true) > right-x-22 {
		name.Size -= 0.1
	}
	s.Text(x, 6.4, draw.Shorten(c.Name, right-x-22, name.Size, true), name)
	rev := small
	rev.Align = draw.Right
	s.Text(right, 6.4, fmt.Sprintf("revision %d", c.Revision), rev)
	s.Line(x, 8.6, right, 8.6, draw.Stroke(draw.Ink, draw.WidthThin))
	big := draw.TextStyle{Size: draw.SizeTitle, Bold: true}
	s.Text(x, 15, fmt.Sprintf("%s\u202fV DC   %s\u202fA   %s\u202fW", trimmed(c.Volts, 3), trimmed(c.Amps, 2), trimmed(c.Watts, 2)), big)
	line := 19.8
	put := func(words string) {
		for _, w := range draw.Wrap(words, right-x, draw.SizeSmall, false) {
			s.Text(x, line, w, small)
			line += 3.5
		}
	}
	supply := "Only with: " + c.Supply
	if c.SupplySerial != "" {
		supply += ", no. " + c.SupplySerial
	}
	put(supply + ". Never mains on this connector.")
	if c.Fuse != nil {
		put(fmt.Sprintf("Fuse in the plus: %s\u202fA. Replace by the same value only.", trimmed(c.Fuse.Rating, 3)))
	}
	blank := func(text string, dots int) string {
		if text == "" {
			return strings.Repeat("_", dots)
		}
		return text
	}
	line += 0.6
	s.Text(x, line+0.6, "Serial  "+blank(c.Serial, 14), bold)
	s.Text(PlateWidth/2+2, line+0.6, "Built  "+blank(c.Built, 14), bold)
	line += 3.2
	s.Line(x, line, right, line, draw.Stroke(draw.Ink, draw.WidthThin))
	line += 4
	if c.Sheet {
		put("Do not look at bare LEDs: never without its sheet. Keep it in view, not in your gaze.")
	} else {
		put("Do not look at the LEDs.")
	}
	put("Indoors and dry only. Do not cover; keep 50 mm free above and behind. Hot to the touch in use. Hang it on two things. Not a medical device.")
	return s
}

func trimmed(x float64, digits int) string {
	t := quantity.Digits(x, digits)
	if strings.Contains(t, ".") {
		t = strings.TrimRight(strings.TrimRight(t, "0"), ".")
	}
	return t
}
