// Package heat predicts how hot a lamp gets: the floor of a metal tray that
// carries rows of LED strip, the strip and the LEDs on it, the sheet in front
// and the back that a hand may touch; how long it takes to warm, and what the
// temperature does to light and life.
//
// One lamp is one [Input]: a rectangular floor with rectangular rows of heat,
// walls around it, a still air gap and a sheet in front, still room air
// around. There are three solvers of the same physics, each with its price:
//
//   - [Node] balances the mean floor and the sheet, in about a microsecond;
//   - [Series] adds the pattern of the rows by a double series of cosines;
//   - [Solve2D] solves the floor on a grid with radiation taken cell by cell.
//
// [Check] compares a result with limits and says what would help, computed.
//
// Temperatures are absolute (K), angles are radians, everything else is SI.
//
// Not modelled: moving air other than the lamp's own buoyancy (a fan or a
// draught cools more), heat into the arm or mount, sunlight on the tray,
// the temperature across the thickness of sheet or wall (a few hundredths of
// a kelvin for metal), heat from the wiring outside the tray.
package heat

import (
	"fmt"
	"math"
)

// Sheet is the metal of floor and walls.
type Sheet struct {
	Name         string
	Thickness    float64 // m, 0.1 to 10 mm
	Conductivity float64 // W/(m·K), 0.1 to 450
	Density      float64 // kg/m³, used by [Warm] only
	SpecificHeat float64 // J/(kg·K), used by [Warm] only
}

// conductance is k·t, W/K: what carries heat along the sheet.
func (s *Sheet) conductance() float64 { return s.Conductivity * s.Thickness }

// Metals lists the usual tray metals, without a thickness.
//
// Source: handbook values at room temperature (Incropera & DeWitt, table A.1,
// and alloy data sheets; from memory of the latter).
func Metals() []Sheet {
	return []Sheet{
		{Name: "aluminium 1050", Conductivity: 222, Density: 2700, SpecificHeat: 900},
		{Name: "aluminium 3003", Conductivity: 193, Density: 2700, SpecificHeat: 900},
		{Name: "aluminium 6061", Conductivity: 167, Density: 2700, SpecificHeat: 900},
		{Name: "aluminium 5052", Conductivity: 138, Density: 2700, SpecificHeat: 900},
		{Name: "mild steel", Conductivity: 50, Density: 7850, SpecificHeat: 490},
		{Name: "stainless steel 304", Conductivity: 15, Density: 7930, SpecificHeat: 500},
	}
}

// Row is one rectangle of strip on the floor, its long side along x.
type Row struct {
	Y      float64 // m, centre, from the floor's edge y = 0
	X0, X1 float64 // m, ends, from the floor's edge x = 0
	Width  float64 // m, of the strip
	Heat   float64 // W that the strip gives to the floor
}

// area in m².
func (r *Row) area() float64 { return (r.X1 - r.X0) * r.Width }

// LED describes one LED for the junction temperature. The zero value leaves
// the junction at the strip's temperature.
type LED struct {
	Heat       float64 // W of heat in one LED
	Resistance float64 // K/W, junction to pad, 0 to 200; data sheets of mid-power parts say 11 to 27
	PadRise    float64 // K, pad over the mean of its strip; see [PadRise]
}

// DefaultLEDResistance is the junction-to-pad resistance, K/W, to take for a
// mid-power LED whose data sheet is missing (common practice, no source).
const DefaultLEDResistance = 20.0

// Diffuser describes the sheet in front, for warm-up and its limit only.
type Diffuser struct {
	Thickness    float64 // m
	Density      float64 // kg/m³
	SpecificHeat float64 // J/(kg·K)
	Limit        float64 // K, continuous use of its plastic; 0 when not known
}

// DefaultStripResistance is the area resistance between the LED pad's side of
// a strip and the floor, m²·K/W: 0.13 mm of adhesive at 0.15 W/(m·K) and
// 0.1 mm of board at 0.2 W/(m·K) (typical sizes, common practice).
const DefaultStripResistance = 0.13e-3/0.15 + 0.1e-3/0.2

// Input is everything the thermal models need to know of a lamp.
type Input struct {
	Length float64 // m, floor along the rows (x)
	Width  float64 // m, floor across the rows (y)
	Sheet  Sheet
	Rows   []Row

	TrayHeat     float64 // W of light swallowed by floor and walls, spread evenly over the floor
	DiffuserHeat float64 // W straight into the sheet in front

	Ambient            float64 // K, the air at the lamp
	EmissivityBack     float64 // of the outside of floor and walls, 0.01 to 1
	EmissivityFront    float64 // of the floor's inside, 0.01 to 1
	EmissivityDiffuser float64 // 0.01 to 1

	Elevation   float64 // rad, of the front's outward normal: -π/2 straight down, 0 upright, π/2 up
	SlopeHeight float64 // m, the floor's dimension along the slope
	Gap         float64 // m, floor to sheet
	WallHeight  float64 // m; 0 means edges that lose nothing

	StripResistance float64 // m²·K/W, LED pad side of the strip to the floor
	LED             LED
	Diffuser        Diffuser
}

// area of the floor, m².
func (in *Input) area() float64 { return in.Length * in.Width }

// perimeter of the floor, m.
func (in *Input) perimeter() float64 { return 2 * (in.Length + in.Width) }

// stripHeat is the heat of all rows, W.
func (in *Input) stripHeat() float64 {
	sum := 0.0
	for i := range in.Rows {
		sum += in.Rows[i].Heat
	}
	return sum
}

// FieldError says which field of an [Input] cannot be used.
type FieldError struct {
	Field   string // for example "Rows[2].Heat"
	Found   string // the value, with its unit
	Allowed string // what would be accepted
}

// Error names the field, what was found and what is allowed.
func (e *FieldError) Error() string {
	return fmt.Sprintf("heat: %s is %s, allowed is %s", e.Field, e.Found, e.Allowed)
}

// span checks lo <= v <= hi; NaN fails.
func span(field string, v, lo, hi float64, unit string) error {
	if v >= lo && v <= hi {
		return nil
	}
	return &FieldError{Field: field, Found: text(v, unit), Allowed: fmt.Sprintf("%g to %s", lo, text(hi, unit))}
}

func text(v float64, unit string) string {
	if unit == "" {
		return fmt.Sprintf("%g", v)
	}
	return fmt.Sprintf("%g %s", v, unit)
}

// Validate refuses an input the models cannot answer for, naming the first
// field at fault. Ranges: floor sides 20 mm to 3 m, ambient 250 to 330 K, heat
// to 5 kW, gap 2 to 300 mm, walls to 300 mm, rows inside the floor and not
// over each other.
func (in *Input) Validate() error {
	if err := in.validateScalars(); err != nil {
		return err
	}
	return in.validateRows()
}

func (in *Input) validateScalars() error {
	const elevHalf = math.Pi/2 + 1e-9
	// A plain sequence: this runs for every candidate of a search and must
	// not allocate.
	if !(in.Length >= 0.02 && in.Length <= 3) {
		return span("Length", in.Length, 0.02, 3, "m")
	}
	if !(in.Width >= 0.02 && in.Width <= 3) {
		return span("Width", in.Width, 0.02, 3, "m")
	}
	if !(in.Sheet.Thickness >= 1e-4 && in.Sheet.Thickness <= 0.01) {
		return span("Sheet.Thickness", in.Sheet.Thickness, 1e-4, 0.01, "m")
	}
	if !(in.Sheet.Conductivity >= 0.1 && in.Sheet.Conductivity <= 450) {
		return span("Sheet.Conductivity", in.Sheet.Conductivity, 0.1, 450, "W/(m·K)")
	}
	if !(in.TrayHeat >= 0 && in.TrayHeat <= 5000) {
		return span("TrayHeat", in.TrayHeat, 0, 5000, "W")
	}
	if !(in.DiffuserHeat >= 0 && in.DiffuserHeat <= 5000) {
		return span("DiffuserHeat", in.DiffuserHeat, 0, 5000, "W")
	}
	if !(in.Ambient >= airColdest && in.Ambient <= 330) {
		return span("Ambient", in.Ambient, airColdest, 330, "K")
	}
	if !(in.EmissivityBack >= 0.01 && in.EmissivityBack <= 1) {
		return span("EmissivityBack", in.EmissivityBack, 0.01, 1, "")
	}
	if !(in.EmissivityFront >= 0.01 && in.EmissivityFront <= 1) {
		return span("EmissivityFront", in.EmissivityFront, 0.01, 1, "")
	}
	if !(in.EmissivityDiffuser >= 0.01 && in.EmissivityDiffuser <= 1) {
		return span("EmissivityDiffuser", in.EmissivityDiffuser, 0.01, 1, "")
	}
	if !(in.Elevation >= -elevHalf && in.Elevation <= elevHalf) {
		return span("Elevation", in.Elevation, -math.Pi/2, math.Pi/2, "rad")
	}
	if !(in.SlopeHeight >= 0.02 && in.SlopeHeight <= 3) {
		return span("SlopeHeight", in.SlopeHeight, 0.02, 3, "m")
	}
	if !(in.Gap >= 0.002 && in.Gap <= 0.3) {
		return span("Gap", in.Gap, 0.002, 0.3, "m")
	}
	if !(in.WallHeight >= 0 && in.WallHeight <= 0.3) {
		return span("WallHeight", in.WallHeight, 0, 0.3, "m")
	}
	if !(in.StripResistance >= 0 && in.StripResistance <= 0.1) {
		return span("StripResistance", in.StripResistance, 0, 0.1, "m²·K/W")
	}
	if !(in.LED.Heat >= 0 && in.LED.Heat <= 20) {
		return span("LED.Heat", in.LED.Heat, 0, 20, "W")
	}
	if !(in.LED.Resistance >= 0 && in.LED.Resistance <= 200) {
		return span("LED.Resistance", in.LED.Resistance, 0, 200, "K/W")
	}
	if !(in.LED.PadRise >= 0 && in.LED.PadRise <= 100) {
		return span("LED.PadRise", in.LED.PadRise, 0, 100, "K")
	}
	if !(in.Diffuser.Limit == 0 || in.Diffuser.Limit >= 273.15 && in.Diffuser.Limit <= 600) {
		return &FieldError{Field: "Diffuser.Limit", Found: text(in.Diffuser.Limit, "K"), Allowed: "273.15 to 600 K, or 0 when not known"}
	}
	return nil
}

func (in *Input) validateRows() error {
	const slack = 1e-9
	total := in.TrayHeat + in.DiffuserHeat
	for i := range in.Rows {
		r := &in.Rows[i]
		if !(r.Heat >= 0 && r.Heat <= 5000) {
			return span(fmt.Sprintf("Rows[%d].Heat", i), r.Heat, 0, 5000, "W")
		}
		if !(r.Width >= 0.001 && r.Width <= in.Width+slack) {
			return span(fmt.Sprintf("Rows[%d].Width", i), r.Width, 0.001, in.Width, "m")
		}
		if !(r.Y >= r.Width/2-slack && r.Y <= in.Width-r.Width/2+slack) {
			return span(fmt.Sprintf("Rows[%d].Y", i), r.Y, r.Width/2, in.Width-r.Width/2, "m")
		}
		if !(r.X0 >= -slack && r.X0 <= in.Length) {
			return span(fmt.Sprintf("Rows[%d].X0", i), r.X0, 0, in.Length, "m")
		}
		if !(r.X1 >= r.X0+0.001 && r.X1 <= in.Length+slack) {
			return span(fmt.Sprintf("Rows[%d].X1", i), r.X1, r.X0+0.001, in.Length, "m")
		}
		for j := range i {
			o := &in.Rows[j]
			if math.Abs(o.Y-r.Y) < (o.Width+r.Width)/2-slack && o.X0 < r.X1-slack && r.X0 < o.X1-slack {
				return &FieldError{Field: fmt.Sprintf("Rows[%d].Y", i), Found: fmt.Sprintf("%g m, over row %d", r.Y, j), Allowed: "rows that lie beside each other"}
			}
		}
		total += r.Heat
	}
	if total > 5000 {
		return &FieldError{Field: "Rows", Found: text(total, "W in all"), Allowed: "at most 5000 W"}
	}
	return nil
}
