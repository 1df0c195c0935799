package phosphor

import (
	"math"

	"dawnsmith/light/spectrum"
)

// amounts solves for the weights of the bands that give chromaticity u, v at
// Y = 1; a fourth band is settled by the share of the power that the first,
// the unconverted pump, is to keep. ok is false when a weight is negative.
func amounts(bands []spectrum.Spectrum, u, v, leak float64) ([]float64, bool) {
	cmf := spectrum.Matching2()
	n := len(bands)
	m := make([][]float64, n)
	for i := range m {
		m[i] = make([]float64, n+1)
	}
	// u = 4X/(X+15Y+3Z), v = 6Y/(X+15Y+3Z) with Y = 1.
	sum := 6 / v
	target := [3]float64{u * sum / 4, 1, (sum - u*sum/4 - 15) / 3}
	for j := range bands {
		for k := range 3 {
			m[k][j] = bands[j].Dot(&cmf[k])
		}
		if n == 4 {
			m[3][j] = -leak * bands[j].Power()
			if j == 0 {
				m[3][j] += bands[j].Power()
			}
		}
	}
	for k := range 3 {
		m[k][n] = target[k]
	}
	// Gauss with pivoting.
	for c := range n {
		p := c
		for i := c; i < n; i++ {
			if math.Abs(m[i][c]) > math.Abs(m[p][c]) {
				p = i
			}
		}
		m[c], m[p] = m[p], m[c]
		if m[c][c] == 0 {
			return nil, false
		}
		for i := range n {
			if i == c {
				continue
			}
			f := m[i][c] / m[c][c]
			for j := c; j <= n; j++ {
				m[i][j] -= f * m[c][j]
			}
		}
	}
	a := make([]float64, n)
	for i := range a {
		a[i] = m[i][n] / m[i][i]
		if !(a[i] >= 0) {
			return nil, false
		}
	}
	return a, true
}
