package colour

import "math"

// The viewing conditions that TM-30 and CIE 224 fix for CIECAM02: adapting
// luminance 100 cd/m², background 20 % of white, average surround, full
// adaptation.
const (
	adapting   = 100.0 // cd/m²
	background = 0.2   // Y of background over Y of white
	surroundC  = 0.69
	surroundNc = 1.0
)

// camConstants are what CIECAM02 derives from the viewing conditions.
var (
	camFL, camFLRoot = func() (float64, float64) {
		k := 1 / (5*adapting + 1)
		k4 := k * k * k * k
		fl := 0.2*k4*(5*adapting) + 0.1*(1-k4)*(1-k4)*math.Cbrt(5*adapting)
		return fl, math.Sqrt(math.Sqrt(fl))
	}()
	camNbb      = 0.725 * math.Pow(background, -0.2)
	camExponent = surroundC * (1.48 + math.Sqrt(background))
	camChroma   = math.Pow(1.64-math.Pow(0.29, background), 0.73)
	camWhite    = func() float64 {
		r := compress(100)
		return (2*r + r + r/20 - 0.305) * camNbb
	}()
	cos2, sin2 = math.Cos(2), math.Sin(2)
)

// lab is a colour in CAM02-UCS: lightness J', redness a', yellowness b'.
type lab struct{ j, a, b float64 }

// viewer turns tristimulus values under one white into CAM02-UCS. The chain
// from X, Y, Z to the adapted cone responses is linear, so it is one matrix.
type viewer struct{ m [3][3]float64 }

var (
	cat02 = [3][3]float64{
		{0.7328, 0.4296, -0.1624},
		{-0.7036, 1.6975, 0.0061},
		{0.0030, 0.0136, 0.9834},
	}
	huntPointerEstevez = [3][3]float64{
		{0.38971, 0.68898, -0.07868},
		{-0.22981, 1.18340, 0.04641},
		{0, 0, 1},
	}
	// coneFromCAT is huntPointerEstevez times the inverse of cat02.
	coneFromCAT = multiply(huntPointerEstevez, invert(cat02))
)

// newViewer adapts fully to a white with Y = 100.
func newViewer(white XYZ) viewer {
	var v viewer
	adapted := cat02
	for i, row := range cat02 {
		w := row[0]*white.X + row[1]*white.Y + row[2]*white.Z
		for k := range row {
			adapted[i][k] *= 100 / w
		}
	}
	v.m = multiply(coneFromCAT, adapted)
	return v
}

// see gives the appearance of a colour whose X, Y, Z are scaled so that the
// white has Y = 100.
//
// Source: CIE 159:2004 (CIECAM02, forward model), Luo, Cui, Li 2006 (UCS
// coefficients c1 = 0.007, c2 = 0.0228), as fixed in CIE 224:2017 annex and
// ANSI/IES TM-30-20 clause 3.
func (v *viewer) see(c XYZ) lab {
	m := &v.m
	r := compress(m[0][0]*c.X + m[0][1]*c.Y + m[0][2]*c.Z)
	g := compress(m[1][0]*c.X + m[1][1]*c.Y + m[1][2]*c.Z)
	b := compress(m[2][0]*c.X + m[2][1]*c.Y + m[2][2]*c.Z)

	red := r - 12*g/11 + b/11
	yellow := (r + g - 2*b) / 9
	chroma := math.Sqrt(red*red + yellow*yellow)
	cosH, sinH := 1.0, 0.0
	if chroma > 0 {
		cosH, sinH = red/chroma, yellow/chroma
	}
	eccentricity := (cosH*cos2 - sinH*sin2 + 3.8) / 4
	a := max((2*r+g+b/20-0.305)*camNbb, 0)
	j := 100 * power(a/camWhite, camExponent)
	t := 50_000.0 / 13 * surroundNc * camNbb * eccentricity * chroma / (r + g + 21.0/20*b)
	colourfulness := power(max(t, 0), 0.9) * math.Sqrt(j/100) * camChroma * camFLRoot

	scaled := math.Log(1+0.0228*colourfulness) / 0.0228
	return lab{1.7 * j / (1 + 0.007*j), scaled * cosH, scaled * sinH}
}

// compress is the cone response of CIECAM02, odd in its argument.
func compress(x float64) float64 {
	p := power(math.Abs(x)*camFL/100, 0.42)
	p = 400 * p / (p + 27.13)
	if x < 0 {
		p = -p
	}
	return p + 0.1
}

// power is x to the p for x ≥ 0.
func power(x, p float64) float64 {
	if x <= 0 {
		return 0
	}
	return math.Exp(p * math.Log(x))
}

func multiply(a, b [3][3]float64) [3][3]float64 {
	var r [3][3]float64
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				r[i][j] += a[i][k] * b[k][j]
			}
		}
	}
	return r
}

func invert(m [3][3]float64) [3][3]float64 {
	var r [3][3]float64
	for i := range 3 {
		for j := range 3 {
			a, b := (i+1)%3, (i+2)%3
			c, d := (j+1)%3, (j+2)%3
			r[j][i] = m[a][c]*m[b][d] - m[a][d]*m[b][c]
		}
	}
	det := m[0][0]*r[0][0] + m[0][1]*r[1][0] + m[0][2]*r[2][0]
	for i := range 3 {
		for j := range 3 {
			r[i][j] /= det
		}
	}
	return r
}
