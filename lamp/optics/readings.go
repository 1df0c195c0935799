package optics

import (
	"fmt"
	"math"

	"dawnsmith/light/lobe"
	"dawnsmith/quantity"
)

// What a maker can find out about a sheet or lining with a lux meter, a strip
// lamp and a laser pointer. All take readings as quantity.Value, so that an
// error that two readings share (the meter's calibration) cancels.

// positive refuses readings that are not over 0.
func positive(field string, v quantity.Value) error {
	if v.Finite() && v.X > 0 {
		return nil
	}
	return &InputError{field, fmt.Sprintf("%g", v.X), "over 0", "repeat the reading"}
}

// TransmittanceFromLux is a sheet's T: lux through one sheet laid on the
// meter over lux without it, under the finished box or an overcast sky. From
// all-round light it is the sheet's TDiffuse. The error is an *InputError.
//
// Not modelled: light the sheet pipes past the meter's dome.
func TransmittanceFromLux(with, without quantity.Value) (quantity.Value, error) {
	if err := firstOf(positive("lux with the sheet", with), positive("lux without the sheet", without)); err != nil {
		return quantity.Value{}, err
	}
	t := with.Div(without)
	if t.X > 1+2*t.U() || t.X > 1.1 {
		return quantity.Value{}, &InputError{"lux with the sheet", fmt.Sprintf("%.3g times that without", t.X), "up to 1", "read both under the same steady light"}
	}
	t.X = min(1, t.X)
	return t, nil
}

// ReflectanceFromTwoSheets is a diffusing sheet's R from the transmittances
// of one sheet and of two on top of each other:
//
//	T₂ = T²/(1 − R²),  R = √(1 − T²/T₂)
//
// Readings good to 1 % give R to about 0.03. The error is an *InputError.
// Source: light to and fro between two like diffusing layers, geometric
// series. Validity: sheets that scatter well; for a clear sheet T is not the
// same in the second layer.
func ReflectanceFromTwoSheets(one, two quantity.Value) (quantity.Value, error) {
	if err := firstOf(positive("transmittance of one sheet", one), positive("transmittance of two sheets", two)); err != nil {
		return quantity.Value{}, err
	}
	r2 := 1 - one.X*one.X/two.X
	if r2 < 0 {
		// A sheet that reflects little may read below 0 by chance only.
		slack := quantity.Combine(r2, quantity.Part{Value: one, Slope: -2 * one.X / two.X}, quantity.Part{Value: two, Slope: one.X * one.X / (two.X * two.X)})
		if r2 < -2*slack.U()-1e-6 {
			return quantity.Value{}, &InputError{"transmittance of two sheets", fmt.Sprintf("%.4g", two.X), fmt.Sprintf("at least the square of one sheet's, %.4g", one.X*one.X), "repeat both readings under the same light"}
		}
		r2 = 0
	}
	if two.X > one.X {
		return quantity.Value{}, &InputError{"transmittance of two sheets", fmt.Sprintf("%.4g", two.X), fmt.Sprintf("up to that of one, %.4g", one.X), "repeat both readings under the same light"}
	}
	// Near 0 the square root's slope has no bound; 0.02 stands for its floor.
	r := max(math.Sqrt(r2), 0.02)
	v := quantity.Combine(math.Sqrt(r2),
		quantity.Part{Value: one, Slope: -one.X / (two.X * r)},
		quantity.Part{Value: two, Slope: one.X * one.X / (2 * two.X * two.X * r)})
	return v, nil
}

// SheetKind is what a sheet is made of, for its absorptance.
type SheetKind int

const (
	FilmOrOpal SheetKind = iota // diffusion film, opal acrylic
	FrostedClear
	Paper
)

// Absorptance is the usual A of a kind of sheet: 0.05 film or opal, 0.03
// frosted clear, 0.08 paper (engineering estimates, no source), with a
// standard uncertainty of 0.02.
func (k SheetKind) Absorptance() quantity.Value {
	a := [...]float64{0.05, 0.03, 0.08}[clampInt(int(k), 0, 2)]
	return quantity.Measured(a, 0.02, "assumed absorptance of the sheet")
}

func clampInt(x, lo, hi int) int { return max(lo, min(hi, x)) }

// ReflectanceFromClosure is R = 1 − T − A, where no second sheet was read.
// The result keeps T's terms with opposite sign: T + R + A stays 1. The error
// is an *InputError.
func ReflectanceFromClosure(t, a quantity.Value) (quantity.Value, error) {
	if err := firstOf(positive("transmittance", t), within("absorptance", a.X, 0, 1, "give the share absorbed")); err != nil {
		return quantity.Value{}, err
	}
	r := quantity.Exact(1).Sub(t).Sub(a)
	if r.X < 0 {
		return quantity.Value{}, &InputError{"transmittance + absorptance", fmt.Sprintf("%.4g", t.X+a.X), "up to 1", "lower one of them"}
	}
	return r, nil
}

// UnscatteredFromHaze is u = 1 − haze (ASTM D1003 counts as haze the
// transmitted light turned by more than 2.5°). The error is an *InputError.
func UnscatteredFromHaze(haze quantity.Value) (quantity.Value, error) {
	if err := within("haze", haze.X, 0, 1, "give the share of transmitted light that is scattered"); err != nil {
		return quantity.Value{}, err
	}
	return quantity.Exact(1).Sub(haze), nil
}

// Disc says which ring of the laser's spot behind a sheet was marked.
type Disc int

const (
	HalfDisc    Disc = iota // where the wall is half as bright as in the middle
	QuarterDisc             // where it is a quarter as bright
)

func (d Disc) fall() (ln, limit float64) {
	if d == QuarterDisc {
		return 2 * math.Ln2, 45
	}
	return math.Ln2, 32.7
}

// LobeFromLaserDisc is a sheet's LobeFWHM, rad, from a laser pointer sent
// squarely through it onto a wall at distance q: w is the diameter of the
// marked disc. The flat wall weakens the spot by cos³θ on top of the lobe, so
// the disc reads too small (a true 60° reads 47°, 90° reads 58°):
//
//	θ = atan(w/2q),  σ = sin θ/√(2(ln 2 + 4 ln cos θ)),  FWHM from σ = sin a/√(2(ln 2 + ln cos a))
//
// with ln 4 for ln 2 in σ where the quarter-brightness disc was marked.
//
// Validity: θ under 32.7° (half) or 45° (quarter). Use a class 2 laser at
// most, never towards eyes, and mind the reflection. The error is an
// *InputError.
func LobeFromLaserDisc(w, q quantity.Value, d Disc) (quantity.Value, error) {
	if err := firstOf(positive("disc diameter", w), positive("distance to the wall", q)); err != nil {
		return quantity.Value{}, err
	}
	ln, limit := d.fall()
	f := func(w, q float64) (float64, bool) {
		t := math.Atan(w / (2 * q))
		root := 2 * (ln + 4*math.Log(math.Cos(t)))
		if root <= 1e-4 {
			return 0, false
		}
		return lobe.FWHM(math.Sin(t) / math.Sqrt(root)), true
	}
	v, ok := f(w.X, q.X)
	theta := math.Atan(w.X/(2*q.X)) * 180 / math.Pi
	if !ok || theta >= limit {
		mend := "mark the quarter-brightness disc instead"
		if d == QuarterDisc {
			mend = "count the sheet as Lambertian"
		}
		return quantity.Value{}, &InputError{"disc half angle", fmt.Sprintf("%.1f°", theta), fmt.Sprintf("under %.1f°", limit), mend}
	}
	slope := func(x, y float64) float64 {
		const h = 1e-4
		up, ok1 := f(w.X*(1+h*x), q.X*(1+h*y))
		down, ok2 := f(w.X*(1-h*x), q.X*(1-h*y))
		if !ok1 || !ok2 {
			return 0
		}
		return (up - down) / (2 * h)
	}
	return quantity.Combine(v, quantity.Part{Value: w, Slope: slope(1, 0) / w.X}, quantity.Part{Value: q, Slope: slope(0, 1) / q.X}), nil
}

// ReflectanceFromPaper is ρ of a diffuse lining: lux with the meter facing it
// from about 50 mm under even light, over lux facing plain white copy paper
// in its place, times the paper's reflectance (CopyPaper). Diffuse linings
// only. The error is an *InputError.
func ReflectanceFromPaper(lining, paper, paperReflectance quantity.Value) (quantity.Value, error) {
	if err := firstOf(positive("lux facing the lining", lining), positive("lux facing the paper", paper),
		within("reflectance of the paper", paperReflectance.X, 0.5, 1, "plain white copy paper has 0.80 to 0.85")); err != nil {
		return quantity.Value{}, err
	}
	return reflected(lining.Div(paper).Mul(paperReflectance), "lux facing the lining")
}

// CopyPaper is the reflectance of plain white copy paper, 0.80 to 0.85
// (engineering estimate, no source).
func CopyPaper() quantity.Value {
	return quantity.Measured(0.825, 0.015, "reflectance of copy paper")
}

// ReflectanceFromMirror is ρ of a mirror lining: lux of a lamp's beam
// reflected into the meter over the direct reading at the same path length.
// The error is an *InputError.
func ReflectanceFromMirror(mirrored, direct quantity.Value) (quantity.Value, error) {
	if err := firstOf(positive("lux by the mirror", mirrored), positive("lux straight", direct)); err != nil {
		return quantity.Value{}, err
	}
	return reflected(mirrored.Div(direct), "lux by the mirror")
}

func reflected(r quantity.Value, field string) (quantity.Value, error) {
	if r.X > 1+2*r.U() || r.X > 1.1 {
		return quantity.Value{}, &InputError{field, fmt.Sprintf("a reflectance of %.3g", r.X), "up to 1", "read both under the same steady light"}
	}
	r.X = min(1, r.X)
	return r, nil
}

// Preset is how a sheet scatters when nothing was measured.
type Preset struct {
	Name  string
	Sheet Sheet // Through, Lobe and LobeFWHM only
}

// Presets lists usual sheets by scatter. They are engineering estimates, not
// published data, and results should say so.
func Presets() []Preset {
	const deg = math.Pi / 180
	return []Preset{
		{"opal", Sheet{}},
		{"heavy frost, full-density film", Sheet{Lobe: 0.3, LobeFWHM: 90 * deg}},
		{"half-density film", Sheet{Through: 0.01, Lobe: 0.6, LobeFWHM: 70 * deg}},
		{"quarter-density film, light frost", Sheet{Through: 0.05, Lobe: 0.75, LobeFWHM: 40 * deg}},
		{"tracing paper", Sheet{Through: 0.02, Lobe: 0.5, LobeFWHM: 50 * deg}},
	}
}
