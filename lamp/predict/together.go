package predict

import (
	"fmt"
	"math"
	"slices"

	"dawnsmith/finding"
	"dawnsmith/lamp"
	"dawnsmith/lamp/optics"
	"dawnsmith/quantity"
)

// Together is what several lamps give one eye at once.
type Together struct {
	Lamps []Uncertain // in the order given
	// Eye is the illuminance at the eye with the brow's cut, Melanopic the
	// melanopic EDI, lx; doubts that the lamps share (a strip's flux, the model)
	// add up, others in squares.
	Eye, Melanopic quantity.Value
	// Glare is that of all faces at once.
	Glare    optics.Glare
	Findings []finding.Finding
}

// Sum adds the lamps at the eye. Each hangs where its own file says; gaze, brow,
// cheek and the luminance around must be the same in all, since one eye looks
// one way. Results are of the Full grade, with or without Values. It fails on
// places that contradict each other and on a lamp that was not worked out.
//
// Not modelled: a lamp that hides another, light of one lamp reflected by the
// next, the adaptation of the eye.
func Sum(lamps ...Uncertain) (Together, error) {
	if len(lamps) == 0 {
		return Together{}, fmt.Errorf("no lamp is given; name at least one")
	}
	t := Together{Lamps: lamps, Eye: value(lamps[0], EyeLux), Melanopic: value(lamps[0], EyeMelanopic), Glare: lamps[0].glare}
	first := lamps[0].Lamp
	for i, u := range lamps {
		l := u.Lamp
		if _, worked := u.Numbers[EyeLux]; !worked || u.Grade != Full {
			return Together{}, fmt.Errorf("lamp %q was not worked out in full; mend it first: predict it alone to see why", l.Name)
		}
		if err := sameEye(first, l); err != nil {
			return Together{}, err
		}
		if i == 0 {
			continue
		}
		t.Eye, t.Melanopic = t.Eye.Add(value(u, EyeLux)), t.Melanopic.Add(value(u, EyeMelanopic))
		switch {
		case u.glare.SolidAngle == 0: // adds nothing
		case t.Glare.SolidAngle == 0:
			t.Glare = u.glare
		default:
			t.Glare = t.Glare.And(u.glare)
		}
	}
	t.Findings = t.findings()
	return t, nil
}

func value(u Uncertain, key string) quantity.Value {
	if v, ok := u.Values[key]; ok {
		return v
	}
	return quantity.Exact(u.Numbers[key])
}

// sameEye refuses lamps whose files tell of different eyes.
func sameEye(a, b lamp.Lamp) error {
	p, q := a.Spec.Place, b.Spec.Place
	for _, c := range []struct {
		key  string
		x, y float64
		dim  quantity.Dimension
	}{
		{"gaze", p.Gaze, q.Gaze, quantity.Angle}, {"brow_limit", p.Brow, q.Brow, quantity.Angle},
		{"cheek_limit", p.Cheek, q.Cheek, quantity.Angle}, {"surround_luminance", p.Surround, q.Surround, quantity.Luminance},
	} {
		if math.Abs(c.x-c.y) > 1e-9 {
			return fmt.Errorf("place.%s is %s in lamp %q and %s in lamp %q; allowed is the same in all, since one eye sees them: make them equal",
				c.key, quantity.Format(c.x, c.dim, 3), a.Name, quantity.Format(c.y, c.dim, 3), b.Name)
		}
	}
	return nil
}

// DER is the melanopic daylight efficacy ratio of the light of all; 0 in the
// dark.
func (t *Together) DER() float64 {
	if t.Eye.X == 0 {
		return 0
	}
	return t.Melanopic.X / t.Eye.X
}

// Ranges says of UGR and DGP of all faces why they stand outside their range or
// are left out; see Result.Ranges.
func (t *Together) Ranges() map[string]string { return ranges(t.Glare) }

func (t *Together) findings() []finding.Finding {
	var fs []finding.Finding
	for i, u := range t.Lamps {
		if share := u.Numbers[EyeLux] / t.Eye.X; len(t.Lamps) > 1 && share < 0.05 {
			fs = append(fs, finding.Finding{Severity: finding.Note, Key: "together.little",
				What:  fmt.Sprintf("lamp %d, %q, gives %s of the light at the eye", i+1, u.Lamp.Name, percent(share)),
				Cause: "it hangs far off, beside the line of sight or behind the brow", Mend: "hang it nearer to the line of sight, or leave it out", Source: "arithmetic"})
		}
		for k, v := range t.Lamps[:i] {
			a, b := u.Lamp, v.Lamp
			p, q := a.Spec.Place, b.Spec.Place
			// Spheres within the faces that meet are faces that meet.
			apart := math.Sqrt(sq(p.LampAside-q.LampAside) + sq(p.LampAboveEye-q.LampAboveEye) + sq(p.Ahead()-q.Ahead()))
			if room := (min(a.Tray.Length, a.Tray.Width) + min(b.Tray.Length, b.Tray.Width)) / 2; apart < room {
				fs = append(fs, finding.Finding{Severity: finding.Warn, Key: "together.one_place",
					What: fmt.Sprintf("lamps %d and %d hang %s apart, and side by side they take at least %s", k+1, i+1, quantity.Format(apart, quantity.Length, 3), quantity.Format(room, quantity.Length, 3)),
					Mend: "give each its place: place.lamp_aside, place.lamp_above_eye and place.eye_distance", Source: "geometry"})
			}
		}
	}
	finding.Sort(fs)
	return slices.Clip(fs)
}

func sq(x float64) float64 { return x * x }
