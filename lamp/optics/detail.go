package optics

import "math"

// Detail is how finely the full solution divides the box.
type Detail int

const (
	// Standard holds efficiency to 0.2 %, luminance and illuminance to 0.6 %
	// (0.2 % where the sheet is Lambertian), the corner to 2 %.
	Standard Detail = iota
	// Draft is for sliders and loops: efficiency to 0.3 %, illuminance to 1 %,
	// the corner to 6 %.
	Draft
	// Fine is for checking the other two.
	Fine
)

// String names the detail.
func (d Detail) String() string {
	return [...]string{"standard", "draft", "fine"}[clampInt(int(d), 0, 2)]
}

// cells gives the width of the outermost patches and of the inner ones, in
// box depths, and how many inner ones there may be across a very shallow box.
func (d Detail) cells() (rim, body, most float64) {
	switch d {
	case Draft:
		return 0.25, 1, 22
	case Fine:
		return 0.06, 0.5, 40
	}
	return 0.12, 0.9, 22
}

// rungs gives the wall patches' edges, m, for a box of depth h; none is
// higher than half the shorter side.
func (d Detail) rungs(h, side float64) []float64 {
	share := []float64{0, 0.4, 0.75, 0.92, 1}
	switch d {
	case Draft:
		share = []float64{0, 0.5, 0.85, 1}
	case Fine:
		share = []float64{0, 0.12, 0.3, 0.5, 0.7, 0.84, 0.93, 1}
	}
	z := []float64{0}
	for i := 1; i < len(share); i++ {
		lo, hi := share[i-1]*h, share[i]*h
		n := max(1, int(math.Ceil((hi-lo)/(side/2)-1e-9)))
		for k := 1; k <= n; k++ {
			z = append(z, lo+(hi-lo)*float64(k)/float64(n))
		}
	}
	return z
}

// fans is how many fans look back into the box from each patch of the sheet.
func (d Detail) fans() int {
	switch d {
	case Draft:
		return 1
	case Fine:
		return 6
	}
	return 3
}

// fansOut is how many fans look back from each panel that lights a target.
func (d Detail) fansOut() int {
	switch d {
	case Draft:
		return 1
	case Fine:
		return 4
	}
	return 2
}

// panels is how many panels across the face's shorter side light a target at
// usual distances.
func (d Detail) panels() float64 {
	switch d {
	case Draft:
		return 6
	case Fine:
		return 14
	}
	return 9
}
