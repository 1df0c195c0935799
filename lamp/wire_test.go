package lamp

import (
	"math"
	"testing"

	"dawnsmith/lamp/part"
)

// wired is a lamp of nine rows of 7 × 50 mm in a tray of 380 × 280 mm, with
// leads of 1.5 m and no fuse.
func wired(feed string, channels int) Lamp {
	l := Lamp{Spec: Spec{Rows: 9, Units: 7, Feed: feed, LeadLength: 1.5, WiredMargin: 0.012, FreeMargin: 0.004}}
	l.Tray = part.Tray{Length: 0.38, Width: 0.28, Depth: 0.05}
	l.Strip = part.Strip{Width: 0.010, Cut: 0.05, Channels: make([]part.Channel, channels)}
	l.Bus = part.Wire{Area: 0.518e-6, Diameter: 0.0018}
	l.Lead = l.Bus
	return l
}

// Lengths and joints written out by hand from the drawing: pitch 280/9 mm,
// first row at half a pitch, pads at ± 2.5 mm, row start at 15 mm, buses 3 and
// 6 mm outside the strips.
func TestWires(t *testing.T) {
	const pitch = 0.28 / 9
	const span = 8 * (pitch + 0.003)
	const first, last = pitch / 2, 0.28 - pitch/2
	const started = 0.030 + first + span + 0.005
	const free = span + 0.010
	const across = 0.35 + 0.003 + 0.003 // from the plus bus to the far bus
	for _, c := range []struct {
		feed              string
		channels          int
		bus, inside       float64
		joints, conductor int
	}{
		{"first-row", 1, 2 * started, 0, 2*9 + 4, 2},
		{"middle-row", 1, 2 * free, (0.015 - 0.003 + 0.030) + (0.015 - 0.006 + 0.030), 22, 2},
		{"reverse-return", 1, started - 0.0025 + free, last + 0.0025 + 0.030, 22, 2},
		{"opposite-ends", 1, 2 * started, across + 0.030, 22, 2},
		{"opposite-ends-reverse", 1, started - 0.0025 + free, across + last + 0.0025 + 0.030, 22, 2},
		{"both-ends", 1, 4 * started, across + across + 0.003 + 0.120, 36 + 4 + 4, 2},
		{"serpentine", 1, 2 * 8 * (pitch + 0.003 + 0.010), 2 * (first + 0.030), 2*2*8 + 4, 2},
		{"first-row", 2, 3 * started, 0, 3*9 + 6, 3},
	} {
		l := wired(c.feed, c.channels)
		if got := l.BusTotal(); math.Abs(got-c.bus) > 1e-9 {
			t.Errorf("%s, %d channels: bus wire %.4f m, by hand %.4f m", c.feed, c.channels, got, c.bus)
		}
		if got := l.LeadInside(); math.Abs(got-c.inside) > 1e-9 {
			t.Errorf("%s, %d channels: lead wire inside %.4f m, by hand %.4f m", c.feed, c.channels, got, c.inside)
		}
		if got, want := l.LeadTotal(), c.inside+float64(c.conductor)*1.5; math.Abs(got-want) > 1e-9 {
			t.Errorf("%s, %d channels: lead wire %.4f m, by hand %.4f m", c.feed, c.channels, got, want)
		}
		if got := l.Joints(); got != c.joints {
			t.Errorf("%s, %d channels: %d joints, counted by hand %d", c.feed, c.channels, got, c.joints)
		}
		l.Fuse = &part.Fuse{}
		if got := l.Joints(); got != c.joints+2 {
			t.Errorf("%s with a fuse holder: %d joints, want %d", c.feed, got, c.joints+2)
		}
	}
}
