package optics

import (
	"fmt"
	"math"

	"dawnsmith/finding"
)

// Surface is a reflecting surface.
type Surface struct {
	Reflectance float64 // total reflectance ρ, 0 to 1
	Specular    float64 // mirror share s of ρ, 0 to 1; the rest is diffuse
}

// mirror is the mirror part ρs.
func (s Surface) mirror() float64 { return s.Reflectance * s.Specular }

// diffuse is the diffuse part ρ(1−s).
func (s Surface) diffuse() float64 { return s.Reflectance * (1 - s.Specular) }

// Row is one line of LED packages along x, on a band of strip board.
type Row struct {
	Y                float64   // m, across the box
	X0               float64   // m, first LED
	Pitch            float64   // m, LED to LED
	Count            int       // LEDs in the row
	Z                float64   // m, emitting face over the floor
	BeamFWHM         float64   // rad, full width at half intensity of one LED; 0 stands for 120°
	Flux             float64   // lm of one LED, derated for current and temperature
	Fluxes           []float64 // lm of each LED, overrides Flux when not nil; Count values
	EmitterArea      float64   // m², emitting area of one LED, 0 if unknown; used for unscattered dots only
	StripWidth       float64   // m, band of strip board centred on Y, over the whole length; 0 for none
	StripReflectance float64   // of the band, packages folded in, diffuse
}

// DefaultBeam is the full width at half intensity, rad, of a bare LED
// package: 120°, a Lambertian emitter.
const DefaultBeam = 2 * math.Pi / 3

func (r *Row) beam() float64 {
	if r.BeamFWHM == 0 {
		return DefaultBeam
	}
	return r.BeamFWHM
}

func (r *Row) x(k int) float64 { return r.X0 + float64(k)*r.Pitch }

func (r *Row) flux(k int) float64 {
	if r.Fluxes != nil {
		return r.Fluxes[k]
	}
	return r.Flux
}

func (r *Row) total() float64 {
	if r.Fluxes == nil {
		return r.Flux * float64(r.Count)
	}
	s := 0.0
	for _, f := range r.Fluxes {
		s += f
	}
	return s
}

// Sheet is the diffuser in front. Light reflected by it is taken as diffuse.
// Of the transmitted light the share Through goes straight on, the share Lobe
// spreads around the straight direction, the rest is Lambertian.
type Sheet struct {
	T        float64 // transmittance for light straight from the LEDs, 0 to 1
	R        float64 // reflectance of the inner side, T + R ≤ 1; the rest is absorbed
	TDiffuse float64 // transmittance for light from all sides, 0 to 1; 0 stands for T
	Through  float64 // u, unscattered share of the transmitted light, 0 to 1
	Lobe     float64 // l, share in the lobe, 0 to 1 − u
	LobeFWHM float64 // rad, full width at half intensity behind the sheet of a narrow beam, 5° to 120°
}

// Lambert is d = 1 − u − l, the Lambertian share of the transmitted light.
func (s Sheet) Lambert() float64 { return max(0, 1-s.Through-s.Lobe) }

func (s Sheet) tDiffuse() float64 {
	if s.TDiffuse == 0 {
		return s.T
	}
	return s.TDiffuse
}

// weak tells whether luminance depends on the direction of view.
func (s Sheet) weak() bool { return s.T > 0 && s.Through+s.Lobe > 0 }

// Box is an open tray with LEDs on its floor and a sheet in front.
// The floor is z = 0, the sheet z = Height, 0 ≤ x ≤ Length, 0 ≤ y ≤ Width:
// clear sizes inside the linings.
type Box struct {
	Length, Width, Height float64 // m
	Rows                  []Row
	Walls                 [4]Surface // at x = 0, x = Length, y = 0, y = Width
	Floor                 Surface    // lining or bare tray between the strip bands
	Sheet                 Sheet
}

// SameWalls gives all four walls one surface.
func SameWalls(s Surface) [4]Surface { return [4]Surface{s, s, s, s} }

// Grid lays rows × perRow LEDs as a centred rectangular lattice in a floor of
// length × width m; rowSpacing and pitch are in m. Every row copies like
// except for its place and count.
func Grid(length, width float64, rows int, rowSpacing float64, perRow int, pitch float64, like Row) []Row {
	rs := make([]Row, rows)
	for j := range rs {
		r := like
		r.Y = width/2 + (float64(j)-float64(rows-1)/2)*rowSpacing
		r.X0 = length/2 - float64(perRow-1)/2*pitch
		r.Pitch, r.Count = pitch, perRow
		rs[j] = r
	}
	return rs
}

// LEDFlux is the sum of all LED fluxes, lm.
func (b *Box) LEDFlux() float64 {
	s := 0.0
	for i := range b.Rows {
		s += b.Rows[i].total()
	}
	return s
}

// FaceArea is Length × Width, m².
func (b *Box) FaceArea() float64 { return b.Length * b.Width }

// InputError says which field of a Box cannot be used and how to mend it.
type InputError struct {
	Field   string // dotted path
	Found   string
	Allowed string
	Mend    string
}

// Error gives one line for a person.
func (e *InputError) Error() string {
	return fmt.Sprintf("%s is %s, allowed is %s; %s", e.Field, e.Found, e.Allowed, e.Mend)
}

func within(field string, v, lo, hi float64, mend string) error {
	if v >= lo && v <= hi { // false for NaN
		return nil
	}
	return &InputError{field, fmt.Sprintf("%.4g", v), fmt.Sprintf("%.4g to %.4g", lo, hi), mend}
}

// fieldAt names an element of a list, or what stands alone (i < 0), in errors;
// the name is only put together when there is one.
type fieldAt struct {
	list string
	i    int
}

func (p fieldAt) field(name string) string {
	if p.i < 0 {
		return p.list + "." + name
	}
	return fmt.Sprintf("%s[%d].%s", p.list, p.i, name)
}

// within is within for one of its fields.
func (p fieldAt) within(name string, v, lo, hi float64, mend string) error {
	if v >= lo && v <= hi {
		return nil
	}
	return within(p.field(name), v, lo, hi, mend)
}

func firstOf(errs ...error) error {
	for _, e := range errs {
		if e != nil {
			return e
		}
	}
	return nil
}

func (s Surface) validate(at fieldAt) error {
	return firstOf(
		at.within("reflectance", s.Reflectance, 0, 1, "give the share of light that comes back"),
		at.within("specular", s.Specular, 0, 1, "give the mirror share of the reflected light"))
}

// Validate refuses numbers no box can have; the error is an *InputError.
//
// T + R may exceed 1 by rounding, 0.001 at most. R stops at 0.999 so that
// light always finds an end.
func (s Sheet) Validate() error {
	err := firstOf(
		within("sheet.transmittance", s.T, 0, 1, "give the share of light let through"),
		within("sheet.reflectance", s.R, 0, 0.999, "give the share of light sent back"),
		within("sheet.diffuse_transmittance", s.TDiffuse, 0, 1, "give the share let through under an overcast sky, or leave it out"),
		within("sheet.transmittance + reflectance", s.T+s.R, 0, 1.001, "lower one of them: what is absorbed cannot be negative"),
		within("sheet.diffuse_transmittance + reflectance", s.TDiffuse+s.R, 0, 1.001, "lower one of them: what is absorbed cannot be negative"),
		within("sheet.unscattered", s.Through, 0, 1, "give a share of the transmitted light"),
		within("sheet.lobe", s.Lobe, 0, 1, "give a share of the transmitted light"),
		within("sheet.unscattered + lobe", s.Through+s.Lobe, 0, 1+1e-9, "the shares of the transmitted light add up to 1"))
	if err == nil && s.Lobe > 0 {
		err = within("sheet.lobe_fwhm", s.LobeFWHM*180/math.Pi, 5, 120, "give the lobe's full width at half maximum in degrees; narrower light counts as unscattered, wider as Lambertian")
	}
	return err
}

// wallGap is the least distance, m, of an LED from a wall.
const wallGap = 1e-4

// maxLEDs bounds the work one box may ask for.
const maxLEDs = 100_000

// Validate refuses numbers no box can have; the error is an *InputError.
func (b *Box) Validate() error {
	err := firstOf(
		within("length", b.Length, 0.005, 10, "give the clear length in metres"),
		within("width", b.Width, 0.005, 10, "give the clear width in metres"),
		within("length over width", b.Length/b.Width, 0.02, 50, "model a piece of a very long lamp"),
		within("height", b.Height, 0.001, 3*min(b.Length, b.Width), "give the clear depth from floor to sheet in metres; shafts deeper than three shorter sides are not modelled"),
		b.Floor.validate(fieldAt{"floor", -1}), b.Sheet.Validate())
	for i, w := range b.Walls {
		err = firstOf(err, w.validate(fieldAt{"walls", i}))
	}
	if err != nil {
		return err
	}
	n := 0
	for i := range b.Rows {
		if err := b.Rows[i].validate(fieldAt{"rows", i}, b); err != nil {
			return err
		}
		n += b.Rows[i].Count
	}
	if n > maxLEDs {
		return &InputError{"rows", fmt.Sprintf("%d LEDs", n), fmt.Sprintf("up to %d", maxLEDs), "model a smaller part of the lamp"}
	}
	if !(b.LEDFlux() > 0) {
		return &InputError{"rows", "no light at all", "at least one LED with flux over 0", "add a row or give its LEDs a flux in lm"}
	}
	return nil
}

func (r *Row) validate(at fieldAt, b *Box) error {
	if r.Count < 1 || r.Count > maxLEDs {
		return &InputError{at.field("count"), fmt.Sprint(r.Count), fmt.Sprintf("1 to %d", maxLEDs), "drop the row or give it LEDs"}
	}
	if r.Fluxes != nil && len(r.Fluxes) != r.Count {
		return &InputError{at.field("fluxes"), fmt.Sprintf("%d values", len(r.Fluxes)), fmt.Sprintf("%d, one for each LED", r.Count), "give one flux per LED or leave the list out"}
	}
	first, last := r.x(0), r.x(r.Count-1)
	const inside = "move the row inside the walls"
	err := firstOf(
		at.within("y", r.Y, wallGap, b.Width-wallGap, inside),
		at.within("x of the first LED", first, wallGap, b.Length-wallGap, inside),
		at.within("x of the last LED", last, wallGap, b.Length-wallGap, inside),
		at.within("z", r.Z, 0, b.Height*0.999, "the emitting face lies between floor and sheet"),
		at.within("strip_width", r.StripWidth, 0, b.Width, "a strip is no wider than the floor"),
		at.within("strip_reflectance", r.StripReflectance, 0, 1, "give the share of light that comes back"),
		at.within("emitter_area", r.EmitterArea, 0, 1e-2, "give the emitting area of one LED in m²"))
	if err == nil && r.BeamFWHM != 0 {
		err = at.within("beam_fwhm", r.BeamFWHM*180/math.Pi, 20, 170, "give the full width at half intensity in degrees")
	}
	for k := 0; err == nil && k < r.Count; k++ {
		err = at.within("flux", r.flux(k), 0, 1e6, "give the lumens of one LED")
		if r.Fluxes == nil {
			break
		}
	}
	return err
}

// Findings says where a valid box leaves the range in which the model was
// checked against photon tracing: depth up to half the shorter side, no LED
// nearer than 2 mm to a wall, LEDs no more than three depths apart. A box that
// Validate refuses has none.
func (b *Box) Findings() []finding.Finding {
	var fs []finding.Finding
	if b.Validate() != nil {
		return nil
	}
	if b.Height > min(b.Length, b.Width)/2 {
		fs = append(fs, finding.Finding{
			Severity: finding.Note, Key: "optics.deep_box",
			What:  fmt.Sprintf("the box is %.0f mm deep for a shorter side of %.0f mm; the model was checked up to half the shorter side", b.Height*1e3, min(b.Length, b.Width)*1e3),
			Cause: "walls send on most of the light in a deep box, so their reflectance counts several times",
			Mend:  "expect a few per cent more doubt, or make the box shallower", Source: "own checks against photon tracing"})
	}
	if b.Sheet.Through >= 0.005 && b.Sheet.T > 0 {
		fs = append(fs, finding.Finding{
			Severity: finding.Warn, Key: "optics.unscattered",
			What:  fmt.Sprintf("the sheet passes %.1f %% of its light unscattered; under 0.5 %% is wanted", b.Sheet.Through*100),
			Cause: "every LED is seen as a sharp dot however deep the box is",
			Mend:  "add a second sheet: the unscattered shares multiply", Source: "common practice, no source"})
	}
	if near := b.nearestWall(); near < 2e-3 {
		fs = append(fs, finding.Finding{
			Severity: finding.Note, Key: "optics.led_at_wall",
			What:  fmt.Sprintf("an LED sits %.1f mm from a wall; packages count as points, checked from 2 mm on", near*1e3),
			Cause: "the package is no longer small against its distance to the wall",
			Mend:  "shorten the row by one cut", Source: "own checks against photon tracing"})
	}
	if l := latticeOf(b, b.fields()); max(l.Pitch, l.Spacing) > 3*l.Depth {
		fs = append(fs, finding.Finding{
			Severity: finding.Warn, Key: "optics.sparse_leds",
			What:  fmt.Sprintf("LEDs are %.0f mm apart for %.0f mm from LED to sheet; more than three times that shows pools of light behind any sheet", max(l.Pitch, l.Spacing)*1e3, l.Depth*1e3),
			Cause: "even a perfect diffuser blends LEDs only up to about one depth apart",
			Mend:  "lay rows closer or make the box deeper", Source: "lattice series of this package"})
	}
	if b.Sheet.T == 0 {
		fs = append(fs, finding.Finding{
			Severity: finding.Warn, Key: "optics.no_light_out",
			What:  "the sheet lets no light through",
			Cause: "its transmittance is 0", Mend: "give the sheet's transmittance"})
	}
	return fs
}

func (b *Box) nearestWall() float64 {
	d := math.Inf(1)
	for i := range b.Rows {
		r := &b.Rows[i]
		d = min(d, r.Y, b.Width-r.Y, r.x(0), b.Length-r.x(0), r.x(r.Count-1), b.Length-r.x(r.Count-1))
	}
	return d
}
