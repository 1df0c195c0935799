package lamp

import (
	"slices"

	"dawnsmith/lamp/part"
)

// Doubled reports that a second sheet lies on the first.
func (l *Lamp) Doubled() bool { return len(l.sheets) == 2 }

// Sheets are the sheets of the lamp as they are sold, from the LEDs outwards.
func (l Lamp) Sheets() []part.Sheet {
	switch {
	case l.Doubled():
		return slices.Clone(l.sheets)
	case l.Sheet != nil:
		return []part.Sheet{*l.Sheet}
	}
	return nil
}

// double lays a second sheet on the first.
func (l *Lamp) double(second part.Sheet) {
	l.sheets = []part.Sheet{*l.Sheet, second}
	both := l.Sheet.Under(second)
	l.Sheet = &both
}
