package wiring

import (
	"fmt"
	"strings"

	"dawnsmith/lamp"
	"dawnsmith/quantity"
)

// Task is one step of the electrical work.
type Task struct {
	Key     string
	Do      string   // what to do, in the imperative
	After   []string // keys of the tasks it builds on
	Minutes float64
}

// Working times in minutes, for someone who solders now and then. Common
// practice, no source.
const (
	minutesPerCut    = 2.0
	minutesPerPatch  = 0.5
	minutesPerRow    = 2.0
	minutesPerWire   = 2.0
	minutesPerWindow = 1.0
	minutesPerJoint  = 1.5
	minutesPerCheck  = 0.5
)

// tasks is the order of work: what lies underneath comes first, and nothing is
// soldered to a lead that could be live.
func (p *Plan) tasks(l lamp.Lamp) []Task {
	mm := func(x float64) string { return strings.Replace(quantity.Decimals(x*1000, 1), ".0", "", 1) + "\u202fmm" }
	rows := len(p.Rows)
	windows := 0
	for _, b := range p.Buses {
		windows += len(b.Windows)
	}
	inside, outside := 0, 0
	for _, j := range p.Joints {
		if j.What[0] == 'S' {
			continue // a task of their own
		}
		if j.Inside && j.What[0] != 'L' {
			inside++
		} else {
			outside++
		}
	}
	t := []Task{
		{Key: "cut-rows", Do: fmt.Sprintf("cut %s of %d units, %s each, on the cut lines; mark the plus at both ends of each", count(rows, "row"), l.Spec.Units, mm(l.RowLength())), Minutes: minutesPerCut * float64(rows)},
		{Key: "mark", Do: fmt.Sprintf("mark the row lines on the tray's floor: %s; %s", rowLines(l, mm), rowStarts(l, mm)), Minutes: 10},
		{Key: "tape", Do: fmt.Sprintf("lay insulating tape under both ends of every row and under the bus wires: %s patches, about %s of 10 mm tape", fmt.Sprint(len(p.Tape)), quantity.FormatIn(p.TapeLength(), quantity.Length, "m", 2)), After: []string{"mark"}, Minutes: minutesPerPatch * float64(len(p.Tape))},
		{Key: "stick", Do: "stick the rows on their lines, every plus towards the wall of row 1; press for ten seconds a unit", After: []string{"cut-rows", "tape"}, Minutes: minutesPerRow * float64(rows)},
	}
	if l.Interleaved() {
		n := l.ChannelNames()
		t[0].Do = fmt.Sprintf("cut %s of the %s strip and %d of the %s strip, %d units and %s each, on the cut lines; write the row's number on each (%s odd, %s even) and mark the plus at both its ends",
			count(l.RowsOf(0), "row"), n[0], l.RowsOf(1), n[1], l.Spec.Units, mm(l.RowLength()), n[0], n[1])
		t[3].Do = "stick the rows on their lines in the order of their numbers, so that the two strips take turns, every plus towards the wall of row 1; press for ten seconds a unit"
	}
	last := "stick"
	pieces := 0
	for _, r := range p.Rows {
		pieces += len(r.Pieces)
	}
	if n := p.Splices(); n > 0 {
		t[0].Do = fmt.Sprintf("cut %s for %s of %d units, %s each, on the cut lines; write the row's number on each and mark the plus at both its ends", count(pieces, "piece"), count(rows, "row"), l.Spec.Units, mm(l.RowLength()))
		t[0].Minutes = minutesPerCut * float64(pieces)
		t = append(t, Task{Key: "splice", Do: fmt.Sprintf("where a row is made of two pieces let their cut ends touch, plus against plus, and solder a bridge over the gap on every rail: %s of %s wire, %s", count(n*l.Pads(), "piece"), mm(SpliceWire), count(n*SpliceJoints(l), "joint")),
			After: []string{"stick"}, Minutes: (minutesPerWire*float64(l.Pads()) + minutesPerJoint*float64(SpliceJoints(l))) * float64(n)})
		last = "splice"
	}
	if len(p.Buses) > 0 {
		t = append(t,
			Task{Key: "bare", Do: fmt.Sprintf("cut %s and bare %s by the stripping ruler", count(len(p.Buses), "bus wire"), count(windows, "window")), Minutes: minutesPerWire*float64(len(p.Buses)) + minutesPerWindow*float64(windows)},
			Task{Key: "taps", Do: fmt.Sprintf("tin windows and pads, lay each bus beside the row ends, bow it over to its pad at every window, and solder %s", count(inside, "joint")), After: []string{last, "bare"}, Minutes: minutesPerJoint * float64(inside)})
		last = "taps"
	} else if len(p.Links) > 0 {
		t = append(t, Task{Key: "links", Do: fmt.Sprintf("cut %s and solder %s", count(len(p.Links), "link"), count(inside, "joint")), After: []string{last}, Minutes: minutesPerWire*float64(len(p.Links)) + minutesPerJoint*float64(inside)})
		last = "links"
	}
	t = append(t,
		Task{Key: "lead", Do: fmt.Sprintf("lead the conductors through the grommet, clip the lead, then solder and sleeve the remaining %s: lead to lamp, %sconnector", count(outside, "joint"), ifFuse(l)), After: []string{last}, Minutes: minutesPerJoint*float64(outside) + 15},
		Task{Key: "inspect", Do: "look at every joint through a lens, brush out swarf and solder balls, pull each wire gently", After: []string{"lead"}, Minutes: minutesPerCheck * float64(len(p.Joints))})
	return t
}

func ifFuse(l lamp.Lamp) string {
	if l.Fuse != nil {
		return "fuse holder, "
	}
	return ""
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// rowStarts says where the rows begin.
func rowStarts(l lamp.Lamp, mm func(float64) string) string {
	if l.Stagger() > 0 {
		return fmt.Sprintf("rows 1, 3, 5 and so on start %s from the wired end's wall, rows 2, 4, 6 and so on %s, so that LEDs stand over gaps", mm(l.RowX(0)), mm(l.RowX(1)))
	}
	return fmt.Sprintf("the rows start %s from the wired end's wall", mm(l.RowStart()))
}

// rowLines says where the rows' centre lines lie.
func rowLines(l lamp.Lamp, mm func(float64) string) string {
	if l.Even() {
		return fmt.Sprintf("the first %s from the wall beside the entry, then every %s", mm(l.RowAt(0)), mm(l.RowPitch()))
	}
	var at []string
	for i := range l.Spec.Rows {
		at = append(at, mm(l.RowAt(i)))
	}
	return strings.Join(at[:len(at)-1], ", ") + " and " + at[len(at)-1] + " from the wall beside the entry"
}
