package lamp

import "math"

// RunLength is the inner length in which a row lies, m.
func (l *Lamp) RunLength() float64 {
	if l.Spec.Along == AlongWidth {
		return l.Tray.Width
	}
	return l.Tray.Length
}

// Across is the inner width that the rows share, m.
func (l *Lamp) Across() float64 {
	if l.Spec.Along == AlongWidth {
		return l.Tray.Length
	}
	return l.Tray.Width
}

// Height is from the tray's floor to the sheet, m: the sheet lies in the rim.
func (l *Lamp) Height() float64 {
	if l.Sheet != nil {
		return l.Tray.Depth - l.Sheet.Thickness
	}
	return l.Tray.Depth
}

// UnitsThatFit is the most cut units in one row with both margins clear and
// 0.4 mm a unit for the play of the cut line (common practice, no source).
func (l Lamp) UnitsThatFit() int {
	free := l.RunLength() - l.WiredMargin - l.FreeMargin - l.Stagger()
	return max(0, int(math.Floor(free/(l.Strip.Cut+0.0004)+1e-9)))
}

// RowsThatFit is the most rows across the floor, strips 1 mm apart.
func (l Lamp) RowsThatFit() int {
	return max(0, int(math.Floor((l.Across()+rowGap)/(l.Strip.Width+rowGap)+1e-9)))
}

// RowLength is the length of strip in one row, m.
func (l *Lamp) RowLength() float64 { return float64(l.Spec.Units) * l.Strip.Cut }

// StripLength is all strip in the lamp, m.
func (l *Lamp) StripLength() float64 { return float64(l.Spec.Rows) * l.RowLength() }

// RowPitch is the distance between neighbouring rows, m, their mean where Lines
// places them one by one; for a single row the whole width.
func (l *Lamp) RowPitch() float64 {
	if n := len(l.Lines); n > 1 {
		return (l.Lines[n-1] - l.Lines[0]) / float64(n-1)
	}
	if l.Spec.Pitch > 0 {
		return l.Spec.Pitch
	}
	return l.Across() / float64(l.Spec.Rows)
}

// RowStart is where the rows begin, measured from the wired end wall, m: they
// are centred where the margins allow it, so that both ends of the face are
// equally bright, and else lie against the free margin's limit. Staggered rows
// begin there by turns, see RowX.
func (l *Lamp) RowStart() float64 {
	spare := l.RunLength() - l.RowLength() - l.Stagger()
	return math.Min(math.Max(spare/2, l.WiredMargin), spare-l.FreeMargin)
}

// RowX is where row i begins, measured from the wired end wall, m.
func (l *Lamp) RowX(i int) float64 {
	if i%2 == 1 {
		return l.RowStart() + l.Stagger()
	}
	return l.RowStart()
}

// Stagger is how far every second row lies further from the wired end, m: half
// the LEDs' spacing, or 0.
func (l *Lamp) Stagger() float64 {
	if !l.Spec.Staggered || l.Spec.Rows < 2 {
		return 0
	}
	return l.LEDPitch() / 2
}

// RowAt is the centre line of row i (0 nearest the entry), measured from the
// wall beside it, m.
func (l *Lamp) RowAt(i int) float64 {
	if i < len(l.Lines) {
		return l.Lines[i]
	}
	p := l.RowPitch()
	first := (l.Across() - float64(l.Spec.Rows-1)*p) / 2
	return first + float64(i)*p
}

// RowGap is the distance from row i to the next, m.
func (l *Lamp) RowGap(i int) float64 {
	if i+1 < len(l.Lines) {
		return l.Lines[i+1] - l.Lines[i]
	}
	return l.RowPitch()
}

// WidestGap is the largest distance between neighbouring rows, m.
func (l *Lamp) WidestGap() float64 {
	g := l.RowGap(0)
	for i := range max(0, l.Spec.Rows-1) {
		g = math.Max(g, l.RowGap(i))
	}
	return g
}

// LeastGap is how near to each other the centre lines of two rows may lie, m.
func (l Lamp) LeastGap() float64 { return l.Strip.Width + rowGap }

// CloserAtWalls gives lines for the rows, rounded to half a millimetre, whose
// gaps shrink towards the walls: with v from 0 to 1 across the tray and the rows
// at even v,
//
//	y/W = v + (k/2π)·sin(2π(v − ½)),
//
// so that the gap in the middle is (1+k)/(1−k) times that at the walls. k is 0,
// evenly, to 0.6. Common practice, no source: the rim of a box is dimmer since
// its walls swallow light.
func (l Lamp) CloserAtWalls(k float64) []float64 {
	k = math.Max(0, math.Min(0.6, k))
	out := make([]float64, l.Spec.Rows)
	for i := range out {
		v := (float64(i) + 0.5) / float64(len(out))
		y := l.Across() * (v + k/(2*math.Pi)*math.Sin(2*math.Pi*(v-0.5)))
		out[i] = math.Round(y*2000) / 2000
	}
	return out
}

// Even reports that all neighbouring rows are equally far apart, within 0.05 mm.
func (l Lamp) Even() bool {
	for i := range max(0, l.Spec.Rows-1) {
		if math.Abs(l.RowGap(i)-l.RowPitch()) > 5e-5 {
			return false
		}
	}
	return true
}

// LEDPitch is the distance between neighbouring LEDs of a row, all channels
// together, m.
func (l *Lamp) LEDPitch() float64 {
	if l.Interleaved() {
		return 1 / l.Strip.LEDs
	}
	return 1 / (l.Strip.LEDs * float64(len(l.Strip.Channels)))
}

// LEDsPerRow counts the LEDs of one row, all channels together.
func (l *Lamp) LEDsPerRow() int {
	if l.Interleaved() {
		return l.Spec.Units * l.Strip.LEDsPerUnit()
	}
	return l.Spec.Units * l.Strip.LEDsPerUnit() * len(l.Strip.Channels)
}

// FaceArea is the luminous area of the sheet, m².
func (l *Lamp) FaceArea() float64 { return l.Tray.Length * l.Tray.Width }

// LinedArea is the area of lining the lamp takes, m²: the walls, and the
// floor too when it is lined.
func (l *Lamp) LinedArea() float64 {
	if l.Lining == nil {
		return 0
	}
	a := 2 * (l.Tray.Length + l.Tray.Width) * l.Height()
	if l.Spec.LineFloor {
		a += l.FaceArea()
	}
	return a
}

// Mass is that of the hanging lamp, kg: tray, sheet, strip, lining, bus wire
// and 60 g of screws, solder and tape; the supply and the mount not counted.
func (l Lamp) Mass() float64 {
	m := l.Tray.MetalMass() + 0.06
	if l.Sheet != nil {
		m += l.FaceArea() * l.Sheet.Thickness * l.Sheet.Density
	}
	strip := l.Strip.Mass
	if strip == 0 {
		strip = 0.03
	}
	m += l.StripLength() * strip
	if l.Lining != nil {
		t := l.Lining.Thickness
		if t == 0 {
			t = 0.0002
		}
		m += l.LinedArea() * t * 1400 // polyester or foil laminate, kg/m³, common practice
	}
	// Copper and insulation; the lead outside hangs on its own.
	return m + l.copper()*8930*1.6
}
