package optics

import (
	"fmt"
	"math"
)

// Lattice is an endless regular field of LEDs below a sheet, for the spots and
// stripes it shows.
type Lattice struct {
	Pitch     float64 // m, LED to LED along a row
	Spacing   float64 // m, row to row
	Depth     float64 // m, emitting face to sheet
	Staggered bool    // every second row shifted by half a pitch
	BeamFWHM  float64 // rad, full width at half intensity of one LED; 0 stands for 120°
}

// Validate refuses lengths no lattice can have; the error is an *InputError.
func (l Lattice) Validate() error {
	err := firstOf(
		within("pitch", l.Pitch, 1e-4, 1, "give LED to LED in metres"),
		within("spacing", l.Spacing, 1e-4, 1, "give row to row in metres"),
		within("depth", l.Depth, 1e-4, 5, "give LED to sheet in metres"))
	if err == nil && l.BeamFWHM != 0 {
		err = within("beam_fwhm", l.BeamFWHM*180/math.Pi, 20, 170, "give the full width at half intensity in degrees")
	}
	return err
}

// shape is how one sheet blurs: the two kernels of its scattered light.
type shape struct {
	lambert, lobe gaussSum // luminance per lm and T·d, T·l, 1/(m² sr)
}

func (l Lattice) shape(film *Film) shape {
	m := 1.0
	if l.BeamFWHM != 0 {
		m = exponent(l.BeamFWHM)
	}
	far := 20 * l.Depth
	s := shape{lambert: ledIlluminance(m, l.Depth, far)}
	for k := range s.lambert.c {
		s.lambert.c[k] /= math.Pi
	}
	if film != nil {
		s.lobe = film.kernel(m, l.Depth, far)
	}
	return s
}

// maxHarmonics bounds the series in each direction; a pattern that needs more
// is all dots.
const maxHarmonics = 48

// harmonic is one Fourier component of the lattice's luminance.
type harmonic struct {
	kx, ky        float64 // rad/m
	lambert, lobe float64 // amplitude over lm, T·d and T·l, all equal signs of kx, ky added
}

// harmonics lists the components over the first, the mean, that matter for
// contrast.
func (l Lattice) harmonics(s shape) []harmonic {
	area := l.Pitch * l.Spacing
	amp := func(kx, ky float64) (a, b float64) {
		k := math.Hypot(kx, ky)
		a = s.lambert.transform(k) / area
		if s.lobe.a != nil {
			b = s.lobe.transform(k) / area
		}
		return a, b
	}
	a0, b0 := amp(0, 0)
	hs := []harmonic{{0, 0, a0, b0}}
	py := l.Spacing
	if l.Staggered {
		py *= 2
	}
	const small = 1e-7
	for m := 0; m <= maxHarmonics; m++ {
		quiet := true
		for n := 0; n <= 2*maxHarmonics; n++ {
			if m == 0 && n == 0 || l.Staggered && (m+n)%2 == 1 {
				continue
			}
			kx, ky := 2*math.Pi*float64(m)/l.Pitch, 2*math.Pi*float64(n)/py
			a, b := amp(kx, ky)
			if a < small*a0 && b <= small*b0 {
				break
			}
			quiet = false
			f := 4.0
			if m == 0 || n == 0 {
				f = 2
			}
			hs = append(hs, harmonic{kx, ky, f * a, f * b})
		}
		if quiet && m > 0 {
			break
		}
	}
	return hs
}

// Contrast is the spot contrast C = (max−min)/(max+min), 0 to 1, of the
// direct light behind the sheet at normal view, from the lattice's Fourier
// series:
//
//	L ∝ Σ K̂(k)·cos(k_x X)·cos(k_y Y),  k = 2π(m/pitch, n/spacing)
//
// K̂ is the transform of what one LED shows behind the sheet: x·K₁(x) with
// x = k·depth for Lambertian LEDs and sheet. Light reflected inside the box
// dilutes it: multiply by the direct share of the luminance. Unscattered
// light is left out; see DotRatio. film may be nil for a sheet without lobe.
//
// Validity: depth over 0.1 mm; patterns sharper than 48 harmonics read 1.
// Source: Poisson summation; the Lambertian transform is Gradshteyn & Ryzhik
// 6.565.4.
//
// Not modelled: the size of the packages, light spread inside the sheet.
func (l Lattice) Contrast(sheet Sheet, film *Film) (float64, error) {
	if err := firstOf(l.Validate(), sheet.Validate()); err != nil {
		return 0, err
	}
	if sheet.Lobe > 0 && film == nil {
		var err error
		if film, err = NewFilm(sheet.LobeFWHM); err != nil {
			return 0, err
		}
	}
	d, lo := sheet.Lambert(), sheet.Lobe
	if d+lo == 0 {
		return 1, nil
	}
	if lo == 0 {
		film = nil
	}
	return l.spread(l.harmonics(l.shape(film)), d, lo), nil
}

// spread is the contrast of the pattern with shares d and lo.
func (l Lattice) spread(hs []harmonic, d, lo float64) float64 {
	const points = 16
	nx, ny := points, points
	if l.Staggered {
		ny *= 2
	}
	high, low := math.Inf(-1), math.Inf(1)
	cx, cy := make([]float64, len(hs)), make([]float64, len(hs)*(ny+1))
	for j := range ny + 1 {
		for i, h := range hs {
			cy[j*len(hs)+i] = math.Cos(h.ky*l.Spacing*float64(j)/(2*points)) * (d*h.lambert + lo*h.lobe)
		}
	}
	for i := range nx + 1 {
		for k, h := range hs {
			cx[k] = math.Cos(h.kx * l.Pitch * float64(i) / (2 * points))
		}
		for j := range ny + 1 {
			v := dot(cx, cy[j*len(hs):(j+1)*len(hs)])
			high, low = max(high, v), min(low, v)
		}
	}
	low = max(0, low)
	return (high - low) / (high + low)
}

// Visibility says in a word how a ripple of contrast c looks.
//
//	under 1 % invisible, 1–3 % faint, 3–10 % visible, from 10 % dots or stripes
//
// Rows 10–35 mm apart seen from 0.4–0.8 m are 0.2–1.4 cycles per degree,
// where the contrast threshold at high luminance is 0.5–1 %. Source: contrast
// sensitivity literature, from memory; the upper steps are common practice,
// no source.
func Visibility(c float64) string {
	switch {
	case c < 0.01:
		return "invisible"
	case c < 0.03:
		return "faint"
	case c < 0.10:
		return "visible"
	}
	return "dots or stripes"
}

// CyclesPerDegree is the spatial frequency of a pattern of the given period,
// m, seen squarely from distance, m.
func CyclesPerDegree(period, distance float64) float64 {
	return 1 / (2 * math.Atan(period/(2*distance)) * 180 / math.Pi)
}

// DotRatio is the luminance of an LED seen unscattered through the sheet over
// that of the face around it, at normal view:
//
//	I(0)·T·u/(a_e·L),  I(0) = Φ(m+1)/(2π)
//
// flux in lm of one LED, fwhm its beam in rad (0: 120°), area a_e of its
// emitting face in m², background L in cd/m². Above about 1 every chip shows,
// however deep the box; a second sheet multiplies the unscattered shares.
// The error is an *InputError.
func DotRatio(sheet Sheet, flux, fwhm, area, background float64) (float64, error) {
	if err := firstOf(sheet.Validate(), within("flux", flux, 0, 1e6, "give the lumens of one LED"),
		within("emitter_area", area, 1e-9, 1e-2, "give the emitting area of one LED in m²")); err != nil {
		return 0, err
	}
	if !(background > 0) || math.IsInf(background, 0) {
		return 0, &InputError{"background", fmt.Sprintf("%g cd/m²", background), "over 0", "give the luminance of the face"}
	}
	m := 1.0
	if fwhm != 0 {
		if err := within("beam_fwhm", fwhm*180/math.Pi, 20, 170, "give the full width at half intensity in degrees"); err != nil {
			return 0, err
		}
		m = exponent(fwhm)
	}
	return flux * (m + 1) / (2 * math.Pi) * sheet.T * sheet.Through / (area * background), nil
}

// SpotContrast is the spot contrast of the light of the true LEDs, not of an
// endless lattice: (max−min)/(max+min) of L/⟨L⟩ over 2 × 2 lattice periods
// about (x, y), m, box frame, 32 points a period, where ⟨L⟩ is the mean over
// one period centred on each point, so that the slow fall-off to the rim does
// not count. The many-times reflected light is taken as even there.
// Unscattered light is left out; see DotRatio.
func (r *Solution) SpotContrast(x, y float64) float64 {
	s, sh := r.solver, r.box.Sheet
	if sh.T == 0 || sh.Lambert()+sh.Lobe == 0 {
		return 0
	}
	l := latticeOf(&r.box, r.fields)
	px, py := l.Pitch, l.Spacing
	if l.Staggered {
		py *= 2
	}
	w := newWindow(x, y, px, py)
	far := math.Hypot(r.box.Length, r.box.Width) * float64(s.most+1)
	for i, f := range r.fields {
		h := r.box.Height - f.z
		t := s.tables[i]
		s.addWindow(w, f, gaussSum{t.sheet.a[:t.kSheet], t.sheet.c[:t.kSheet]}, sh.T*sh.Lambert()/math.Pi)
		if sh.Lobe > 0 {
			s.addWindow(w, f, s.film.kernel(f.m, h, far), sh.T*sh.Lobe)
		}
	}
	at, mean := w.sums()
	direct := 0.0
	for _, v := range at {
		direct += v / float64(len(at))
	}
	rest := max(0, r.Face.At(clampf(x, 0, r.box.Length), clampf(y, 0, r.box.Width))-direct)
	hi, lo := math.Inf(-1), math.Inf(1)
	for i := range at {
		if m := mean[i] + rest; m > 0 {
			v := (at[i] + rest) / m
			hi, lo = max(hi, v), min(lo, v)
		}
	}
	if hi+lo <= 0 {
		return 0
	}
	return (hi - lo) / (hi + lo)
}

// Ripple is the spot contrast at the face's centre.
func (r *Solution) Ripple() float64 {
	return r.SpotContrast(r.box.Length/2, r.box.Width/2)
}

// RimRipple is the spot contrast as near the rim as whole periods fit: the
// worse of the middle of a long and of a short edge.
func (r *Solution) RimRipple() float64 {
	l := latticeOf(&r.box, r.fields)
	if l.Staggered {
		l.Spacing *= 2
	}
	in := func(period, size float64) float64 { return min(1.5*period, size/2) }
	return max(r.SpotContrast(r.box.Length/2, in(l.Spacing, r.box.Width)),
		r.SpotContrast(in(l.Pitch, r.box.Length), r.box.Width/2))
}

// DotRatio is the brightest LED seen unscattered through the sheet over the
// face's mean, from the emitter areas of the rows; 0 if they are unknown.
func (r *Solution) DotRatio() float64 {
	top := 0.0
	for i := range r.box.Rows {
		row := &r.box.Rows[i]
		if row.EmitterArea == 0 || !(r.Face.Mean > 0) {
			continue
		}
		flux := 0.0
		for k := range row.Count {
			flux = max(flux, row.flux(k))
		}
		if v, err := DotRatio(r.box.Sheet, flux, row.BeamFWHM, row.EmitterArea, r.Face.Mean); err == nil {
			top = max(top, v)
		}
	}
	return top
}
