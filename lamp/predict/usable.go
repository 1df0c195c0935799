package predict

import (
	"errors"
	"math"
)

// Reach is where an eye may sit before the hung lamp and still get enough: for
// each distance ahead, from where to where across it.
type Reach struct {
	Ahead    []float64 // m, horizontally from the lamp's face
	From, To []float64 // m, up or aside; NaN where there is not enough
	Target   float64   // lx, melanopic EDI
}

// SessionEDI is the melanopic equivalent daylight illuminance at the eye, lx,
// recommended at least throughout the day: Brown et al., PLoS Biol. 20 (2022)
// e3001571.
const SessionEDI = 250.0

// errNoMap says that the grade of the prediction has no luminance over the face.
var errNoMap = errors.New("the lamp was not worked out patch by patch")

// EyeElsewhere is the illuminance, lx, at an eye that sits ahead m from the
// lamp's face, above m over the eye of the lamp's own place and aside m from the
// middle; the lamp hangs as it is, gaze and brow are those of the place.
func (r *Result) EyeElsewhere(ahead, above, aside float64) (float64, error) {
	if r.Light == nil {
		return 0, errNoMap
	}
	l := r.Lamp
	l.Spec.Place = l.Spec.Place.Moved(ahead, above, aside)
	t := sight(l)[atEye]
	if t.Position.Z < 0.02 {
		return 0, nil // behind the face
	}
	e, err := r.Light.Illuminance(t)
	return e * r.Numbers[FluxOut] / r.Optics.Out, err
}

// UsableHeights finds how far below and above the eye's usual height the
// melanopic EDI at the eye reaches target lx, straight before the lamp, at
// distances up to far m; to 2 cm. It needs the Full or Live grade.
func (r *Result) UsableHeights(target, far float64) (Reach, error) {
	return r.usable(target, far, func(ahead, y float64) (float64, error) { return r.EyeElsewhere(ahead, y, 0) }, false)
}

// UsableSides is the same to either side, at the eye's usual height.
func (r *Result) UsableSides(target, far float64) (Reach, error) {
	return r.usable(target, far, func(ahead, x float64) (float64, error) { return r.EyeElsewhere(ahead, 0, x) }, true)
}

func (r *Result) usable(target, far float64, lux func(ahead, across float64) (float64, error), alike bool) (Reach, error) {
	out := Reach{Target: target}
	der := r.Numbers[DER]
	var failed error
	enough := func(ahead, across float64) bool {
		e, err := lux(ahead, across)
		if err != nil && failed == nil {
			failed = err
		}
		return e*der >= target
	}
	// edge walks out from the middle, which has enough, and halves the last step.
	edge := func(ahead, step float64) float64 {
		x := 0.0
		for math.Abs(x+step) < reachMost && enough(ahead, x+step) {
			x += step
		}
		lo, hi := x, x+step
		for range 4 {
			if mid := (lo + hi) / 2; enough(ahead, mid) {
				lo = mid
			} else {
				hi = mid
			}
		}
		return lo
	}
	const steps, step = 12, 0.24
	for k := range steps {
		ahead := 0.15 + (far-0.15)*float64(k)/(steps-1)
		from, to := math.NaN(), math.NaN()
		if enough(ahead, 0) {
			if to = edge(ahead, step); alike {
				from = -to
			} else {
				from = edge(ahead, -step)
			}
		}
		out.Ahead, out.From, out.To = append(out.Ahead, ahead), append(out.From, from), append(out.To, to)
	}
	return out, failed
}

// reachMost is how far across the regions are followed, m.
const reachMost = 1.25
