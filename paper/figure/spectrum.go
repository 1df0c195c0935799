package figure

import (
	"math"

	"dawnsmith/paper/draw"
)

// SpectrumChart is one or more spectra over wavelength in nm.
type SpectrumChart struct {
	Frame
	// Y names the ordinate; its zero is always shown unless it is logarithmic.
	Y Axis
	// From and To in nm; both zero means 380 to 780.
	From, To float64
	Series   []Series // X in nm
	// Guides mark wavelengths, for example a receptor's peak.
	Guides []Guide
}

// Spectrum draws spectra as plain curves. A thin rule under the axis shows
// roughly which colours the wavelengths have; the area under a curve is never
// filled with them.
func Spectrum(c SpectrumChart) draw.Scene {
	if !(c.To > c.From) {
		c.From, c.To = 380, 780
	}
	c.Y.Zero = !c.Y.Log
	const rule = 1.6
	cc := CurveChart{Frame: c.Frame, X: Axis{Name: "wavelength", Unit: "nm", From: c.From, To: c.To}, Y: c.Y,
		Series: c.Series, Guides: c.Guides}
	return curves(cc, extras{under: rule + 0.6, before: func(p *plot) {
		wavelengthRule(&p.s.Group, draw.Rect{X: p.box.X, Y: p.box.Y + p.box.H + 0.6, W: p.box.W, H: rule}, c.From, c.To)
	}})
}

// wavelengthRule draws the thin rule of colours.
func wavelengthRule(to *draw.Group, r draw.Rect, low, high float64) {
	const n = 200
	g := draw.Grid{Columns: n, Rows: 1}
	for i := range n {
		nm := low + (high-low)*(float64(i)+0.5)/n
		r, gr, b := wavelengthColour(nm)
		g.RGB = append(g.RGB, r, gr, b)
	}
	to.Image(r.X, r.Y, r.W, r.H, g)
}

// wavelengthColour is a display colour for a spectral light: its chromaticity
// drawn into the sRGB gamut, at even strength, fading where the eye sees
// little. An orientation, not colorimetry.
//
// Colour matching after C. Wyman, P.-P. Sloan, P. Shirley, Simple analytic
// approximations to the CIE XYZ color matching functions, J. Computer Graphics
// Techniques 2(2), 2013, multi-lobe fit (from memory); matrix of IEC 61966-2-1.
func wavelengthColour(nm float64) (r, g, b uint8) {
	// Beyond these ends the hue no longer changes to the eye, and the fit is
	// not made for them.
	at := min(max(nm, 410), 680)
	lobe := func(mu, below, above float64) float64 {
		t := (at - mu) * above
		if at < mu {
			t = (at - mu) * below
		}
		return math.Exp(-t * t / 2)
	}
	x := 1.056*lobe(599.8, .0264, .0323) + 0.362*lobe(442.0, .0624, .0374) - 0.065*lobe(501.1, .0490, .0382)
	y := 0.821*lobe(568.8, .0213, .0247) + 0.286*lobe(530.9, .0613, .0322)
	z := 1.217*lobe(437.0, .0845, .0278) + 0.681*lobe(459.0, .0385, .0725)
	lin := linearRGB(x, y, z)
	// Into the gamut by adding white, a little more so as not to shout, then
	// to even strength.
	low := min(lin[0], lin[1], lin[2], 0) - 0.12*max(lin[0], lin[1], lin[2])
	top := 0.0
	for i := range lin {
		lin[i] -= low
		top = max(top, lin[i])
	}
	fade := 1 / (1 + math.Exp(-(nm-400)/9)) / (1 + math.Exp((nm-700)/14))
	for i := range lin {
		lin[i] = 0.75 * (0.08 + 0.92*fade) * lin[i] / max(top, 1e-12)
	}
	return encode(lin[0]), encode(lin[1]), encode(lin[2])
}

// linearRGB goes from XYZ (D65, Y of white 1) to linear sRGB, IEC 61966-2-1.
func linearRGB(x, y, z float64) [3]float64 {
	return [3]float64{
		3.2406*x - 1.5372*y - 0.4986*z,
		-0.9689*x + 1.8758*y + 0.0415*z,
		0.0557*x - 0.2040*y + 1.0570*z}
}

// encode is the sRGB transfer function, to 8 bits.
func encode(v float64) uint8 {
	v = min(max(v, 0), 1)
	if v <= 0.0031308 {
		v *= 12.92
	} else {
		v = 1.055*math.Pow(v, 1/2.4) - 0.055
	}
	return uint8(math.Round(255 * v))
}

// labColour is the sRGB colour of a CIELAB lightness, chroma and hue in
// degrees (D65), cut to the gamut.
func labColour(l, chroma, hue float64) (r, g, b uint8) {
	sn, cs := math.Sincos(hue * math.Pi / 180)
	fy := (l + 16) / 116
	inv := func(t float64) float64 {
		if t > 6.0/29 {
			return t * t * t
		}
		return 3 * 36.0 / 841 * (t - 4.0/29)
	}
	lin := linearRGB(0.95047*inv(fy+chroma*cs/500), inv(fy), 1.08883*inv(fy-chroma*sn/200))
	return encode(lin[0]), encode(lin[1]), encode(lin[2])
}
