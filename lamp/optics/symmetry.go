package optics

import "math"

// Most lamps are their own mirror image both ways. Places and fluxes that are
// need working out in one quarter only.

// mirrored tells whether the sorted places x are their own mirror image about
// the middle of 0…l.
func mirrored(x []float64, l float64) bool {
	for i, v := range x {
		if math.Abs(v+x[len(x)-1-i]-l) > same {
			return false
		}
	}
	return true
}

// palindrome tells whether the values read alike from both ends.
func palindrome(v []float64, tol float64) bool {
	for i := range len(v) / 2 {
		if math.Abs(v[i]-v[len(v)-1-i]) > tol {
			return false
		}
	}
	return true
}

// evenIn tells whether f shines alike on all four quarters of b.
func (f *field) evenIn(b *Box) bool {
	tol := 1e-12 * f.total
	return f.product && mirrored(f.x, b.Length) && mirrored(f.y, b.Width) && palindrome(f.colSum, tol) && palindrome(f.lineSum, tol)
}

// unfold copies the first quarter of an even light to the other three.
func (g *grid) unfold(e *patchLight) {
	nx, ny, nz := g.x.n(), g.y.n(), len(g.z)-1
	for _, s := range [2][]float64{e.floor, e.sheet} {
		mirrorPlane(s, nx, ny)
	}
	walls := func(near, far []float64, n int) {
		for j := range n / 2 {
			copy(near[(n-1-j)*nz:(n-j)*nz], near[j*nz:(j+1)*nz])
		}
		copy(far, near)
	}
	walls(e.x0, e.xl, ny)
	walls(e.y0, e.yl, nx)
}

// mirrorPlane copies the first quarter of nx × ny values, x first, to the
// other three.
func mirrorPlane(s []float64, nx, ny int) {
	for j := range (ny + 1) / 2 {
		row := s[j*nx : (j+1)*nx]
		for i := range nx / 2 {
			row[nx-1-i] = row[i]
		}
		copy(s[(ny-1-j)*nx:(ny-j)*nx], row)
	}
}
