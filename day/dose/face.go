package dose

import (
	"errors"
	"fmt"
	"math"
)

// ErrTooDim says that a face cannot give the illuminance at any distance.
var ErrTooDim = errors.New("no distance is near enough")

// Shape is the outline of a face.
type Shape uint8

const (
	// Rectangle of Width by Height.
	Rectangle Shape = iota
	// Disc of the diameter Width.
	Disc
)

// String gives the outline in a word.
func (s Shape) String() string {
	if s == Disc {
		return "disc"
	}
	return "rectangle"
}

// Face is an evenly bright Lambertian face, seen on its axis by an eye plane
// parallel to it.
//
// Not modelled: uneven faces (give the mean luminance), light emitted other
// than by the cosine law, the room.
type Face struct {
	Shape     Shape
	Width     float64 // m; a disc's diameter
	Height    float64 // m; not used for a disc
	Luminance float64 // cd/m²
}

// Validate names the field at fault.
func (f Face) Validate() error {
	if f.Shape > Disc {
		return fmt.Errorf("dose: face shape %d is neither rectangle nor disc", f.Shape)
	}
	if !(f.Width > 0 && f.Width <= 10) {
		return fmt.Errorf("dose: face width is %g m, allowed is above 0 to 10 m", f.Width)
	}
	if f.Shape == Rectangle && !(f.Height > 0 && f.Height <= 10) {
		return fmt.Errorf("dose: face height is %g m, allowed is above 0 to 10 m", f.Height)
	}
	if !(f.Luminance >= 0 && f.Luminance <= 1e9) {
		return fmt.Errorf("dose: face luminance is %g cd/m², allowed is 0 to 1e9 cd/m²", f.Luminance)
	}
	return nil
}

// Area in m².
func (f Face) Area() float64 {
	if f.Shape == Disc {
		return math.Pi * f.Width * f.Width / 4
	}
	return f.Width * f.Height
}

// Flux out of the face, π L A, lm.
func (f Face) Flux() float64 { return math.Pi * f.Luminance * f.Area() }

func distance(d float64) error {
	if d > 0 && d <= 1000 {
		return nil
	}
	return fmt.Errorf("dose: distance is %g m, allowed is above 0 to 1000 m", d)
}

// factor is E/L (sr) at the distance d (m), and factor·d/d(d) (sr): a disc of
// radius r gives
//
//	E/L = π r²/(r²+d²)
//
// a rectangle four times the corner of half its sides a, b,
//
//	E/L = ½ [a/√(a²+d²) atan(b/√(a²+d²)) + b/√(b²+d²) atan(a/√(b²+d²))]
//
// Source: configuration factors of a differential plane to a parallel disc and
// rectangle, Howell, A Catalog of Radiation Configuration Factors, B-12, B-3.
func (f Face) factor(d float64) float64 {
	if f.Shape == Disc {
		r := f.Width / 2
		return math.Pi * r * r / (r*r + d*d)
	}
	a, b := f.Width/2, f.Height/2
	p, q := math.Hypot(a, d), math.Hypot(b, d)
	return 2 * (a/p*math.Atan(b/p) + b/q*math.Atan(a/q))
}

// Illuminance on the axis at d (m), lx.
func (f Face) Illuminance(d float64) (float64, error) {
	if err := errors.Join(f.Validate(), distance(d)); err != nil {
		return 0, err
	}
	return f.Luminance * f.factor(d), nil
}

// LuminanceFor is the even luminance (cd/m²) with which this face would give
// lux (lx) at d (m); the face's own luminance is not used.
func (f Face) LuminanceFor(lux, d float64) (float64, error) {
	if err := errors.Join(f.Validate(), distance(d), light("illuminance", lux)); err != nil {
		return 0, err
	}
	return lux / f.factor(d), nil
}

// Distance is where the face gives lux (lx) on its axis, m. It wraps
// [ErrTooDim] when the face would not do it even at the eye, naming the
// luminance that could; and refuses a target reached only beyond 1000 m.
func (f Face) Distance(lux float64) (float64, error) {
	if err := errors.Join(f.Validate(), light("illuminance", lux)); err != nil {
		return 0, err
	}
	if lux == 0 {
		return 0, fmt.Errorf("dose: illuminance is 0 lx, allowed is more than 0 lx for a distance")
	}
	if lux >= math.Pi*f.Luminance {
		return 0, fmt.Errorf("dose: a face of %s cd/m² gives under %s lx however near, so not %s lx; it takes more than %s cd/m²: %w",
			figure(f.Luminance), figure(math.Pi*f.Luminance), figure(lux), figure(lux/math.Pi), ErrTooDim)
	}
	if f.Shape == Disc {
		return f.Width / 2 * math.Sqrt(math.Pi*f.Luminance/lux-1), nil
	}
	lo, hi := 0.0, 1000.0
	if f.Luminance*f.factor(hi) > lux {
		return 0, fmt.Errorf("dose: %s lx is only reached beyond 1000 m", figure(lux))
	}
	for range 200 {
		mid := (lo + hi) / 2
		if mid == lo || mid == hi {
			break
		}
		if f.Luminance*f.factor(mid) > lux {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2, nil
}

// Exponent is the local fall-off n of E ~ d^-n at d (m): 0 at the face, 2 far
// away. A disc has n = 2d²/(r²+d²).
func (f Face) Exponent(d float64) (float64, error) {
	if err := errors.Join(f.Validate(), distance(d)); err != nil {
		return 0, err
	}
	if f.Shape == Disc {
		r := f.Width / 2
		return 2 * d * d / (r*r + d*d), nil
	}
	const h = 1e-4
	return -math.Log(f.factor(d*(1+h))/f.factor(d*(1-h))) / math.Log((1+h)/(1-h)), nil
}

// InverseSquareRatio is how many times the truth the inverse-square law gives
// at d (m): I/d² with I = L·A, over the illuminance.
func (f Face) InverseSquareRatio(d float64) (float64, error) {
	if err := errors.Join(f.Validate(), distance(d)); err != nil {
		return 0, err
	}
	return f.Area() / (d * d) / f.factor(d), nil
}
