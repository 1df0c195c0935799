package facemap

import (
	"fmt"
	"math"

	"dawnsmith/bench/measure"
)

// MaxPixels is the largest picture that is taken.
const MaxPixels = 50_000_000

// MinCells is the least number of pixels across a face.
const MinCells = 12

// Picture is a photograph in numbers proportional to light.
type Picture struct {
	Width, Height int
	// Samples run row by row from the upper left, 1 is full scale.
	Samples []float32
	// Clipped marks pixels at the end of the camera's scale in one of its
	// channels; nil: only samples of ClipFrom and above count as such.
	Clipped []bool
	// Coded says that the numbers were sRGB-coded before: the camera's curve is
	// then known but roughly.
	Coded bool
	// Colour says that each sample was weighed together from three channels.
	Colour bool
	// Steps is the code of full scale: 255, 65535.
	Steps int
}

// ClipFrom is the share of full scale from which a sample counts as clipped.
const ClipFrom = 0.98

// Check refuses a picture whose parts do not fit, with a *measure.InputError.
func (p *Picture) Check() error {
	switch {
	case p.Width < 1 || p.Height < 1 || p.Width > MaxPixels || p.Height > MaxPixels || p.Width*p.Height > MaxPixels:
		return bad("picture", fmt.Sprintf("%d × %d pixels", p.Width, p.Height), fmt.Sprintf("up to %d million pixels", MaxPixels/1_000_000), "make it smaller, or cut the face out")
	case len(p.Samples) != p.Width*p.Height || p.Clipped != nil && len(p.Clipped) != len(p.Samples):
		return bad("picture", fmt.Sprintf("%d samples", len(p.Samples)), fmt.Sprintf("%d × %d", p.Width, p.Height), "")
	case p.Steps < 1 || p.Steps > 1<<24:
		return bad("picture.steps", p.Steps, "the code of full scale, 255 or 65535", "")
	}
	for i, s := range p.Samples {
		if !(s >= -1 && s <= 2) {
			return bad("picture", fmt.Sprintf("%v at column %d, row %d", s, i%p.Width, i/p.Width), "0 to 1 of full scale", "")
		}
	}
	return nil
}

// Level turns a code of the picture, 0 to Steps, into a sample.
func (p *Picture) Level(code float64) float64 {
	v := code / float64(p.Steps)
	if p.Coded {
		return Decode(v)
	}
	return v
}

// Decode turns an sRGB code, 0 to 1, into light, 0 to 1.
//
// Source: IEC 61966-2-1:1999.
func Decode(v float64) float64 {
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

// encode is the inverse of Decode.
func encode(l float64) float64 {
	if l <= 0.0031308 {
		return 12.92 * l
	}
	return 1.055*math.Pow(l, 1/2.4) - 0.055
}

// Luma weighs linear red, green and blue of the sRGB primaries into luminance;
// for a camera's own channels it is a rough stand-in for V(λ).
//
// Source: ITU-R BT.709-6, clause 3.2.
func Luma(r, g, b float64) float64 { return 0.2126*r + 0.7152*g + 0.0722*b }

func bad(field string, found any, allowed, mend string) error {
	return &measure.InputError{Field: field, Found: fmt.Sprint(found), Allowed: allowed, Mend: mend}
}
