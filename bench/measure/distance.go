package measure

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"dawnsmith/finding"
	"dawnsmith/lamp/optics"
	"dawnsmith/quantity"
)

// Fit is a face's light against distance, from readings at three distances or
// more.
type Fit struct {
	Length, Width float64 // m, of the face
	// Luminance is the effective luminance, cd/m²: that of an even face of
	// this size that would give these readings.
	Luminance float64
	// Offset is what the distances were found to be off by, m: the face
	// stands at Distance + Offset.
	Offset float64
	// Cov is the covariance of Luminance and Offset.
	Cov [2][2]float64
	// Residuals are (reading − law)/law, one for each reading used, and
	// Sigmas the same over its standard uncertainty.
	At        []float64 // m, as read
	Residuals []float64
	Sigmas    []float64
	Chi2      float64
	Freedom   int
	P         float64 // chance of a worse fit were the law exact
	// Skipped are the indices of over-range readings.
	Skipped  []int
	Findings []finding.Finding
}

// FitOptions are the errors of the readings that are not common to all.
type FitOptions struct {
	Repeat     float64 // standard uncertainty of a reading, relative; 0: 0.5 %
	Resolution float64 // last digit, lx
	// Ruler is the standard uncertainty of each distance by itself, m; 0:
	// 1 mm. OffsetU is that of the common zero point, m; 0: 3 mm/√3.
	Ruler   float64
	OffsetU float64
}

// FitDistances fits the finite-source law
//
//	E(d) = π·L·4q(a/2, b/2, d + δ)
//
// of an even a × b m face on its axis to readings at three or more distances:
// the effective luminance L and a common offset δ of the distances, which is
// known beforehand to ±OffsetU. Weighted least squares, Gauss–Newton; a
// distance's own error is carried into its reading by the law's slope.
//
// The inverse square law is not used: at less than five times the face's
// longer side it is more than 1 % off.
//
// Validity: 2 cm to 20 m, face even to a few percent; a spotty or darker-edged
// face shows as residuals. Source: the law, Lambert's contour formula
// (lamp/optics.OnAxis); the fit, JCGM 100:2008 (GUM), H.3. The errors are
// *InputError.
func FitDistances(length, width float64, readings []AtDistance, o FitOptions) (Fit, error) {
	f := Fit{Length: length, Width: width}
	if err := firstOf(
		within("face_length_m", length, 0.005, 5, "5 mm to 5 m", "give the size of the luminous face"),
		within("face_width_m", width, 0.005, 5, "5 mm to 5 m", "give the size of the luminous face")); err != nil {
		return f, err
	}
	o = o.withDefaults()
	var d, e, extra []float64
	for i, r := range readings {
		field := fmt.Sprintf("distances[%d]", i)
		if err := firstOf(
			within(field+".distance_m", r.Distance, 0.02, 20, "20 mm to 20 m", ""),
			within(field+".lux", r.Lux-r.Dark, math.SmallestNonzeroFloat64, 1e7, "above the background, up to 10⁷ lx", "")); err != nil {
			return f, err
		}
		if r.OverRange {
			f.Skipped = append(f.Skipped, i)
			continue
		}
		d, e, extra = append(d, r.Distance), append(e, r.Lux-r.Dark), append(extra, math.Abs(r.Dark)/10)
	}
	n := len(d)
	if distinct(d) < 3 {
		return f, bad("distances", fmt.Sprintf("%d within range", distinct(d)), "three different distances or more", "add readings; over-range ones do not count")
	}
	law := func(delta, d float64) float64 { return optics.OnAxis(1, length, width, d+delta) }
	slope := func(delta, d float64) float64 { return (law(delta, d+1e-5) - law(delta, d-1e-5)) / 2e-5 }
	l, delta := e[0]/law(0, d[0]), 0.0
	u := make([]float64, n)
	var normal mat.SymDense
	for range 60 {
		a, b, c, g1, g2 := 0.0, 1/(o.OffsetU*o.OffsetU), 0.0, 0.0, -delta/(o.OffsetU*o.OffsetU)
		for i := range d {
			q, s := law(delta, d[i]), slope(delta, d[i])
			u[i] = math.Sqrt(sq(o.Repeat*e[i]) + sq(o.Resolution)/12 + sq(l*s*o.Ruler) + sq(extra[i]))
			w := 1 / (u[i] * u[i])
			r := e[i] - l*q
			j1, j2 := q, l*s
			a += w * j1 * j1
			b += w * j2 * j2
			c += w * j1 * j2
			g1 += w * j1 * r
			g2 += w * j2 * r
		}
		det := a*b - c*c
		dl, dd := (g1*b-g2*c)/det, (a*g2-c*g1)/det
		dd = math.Max(-0.02, math.Min(0.02, dd))
		l, delta = math.Max(l+dl, l/10), math.Max(delta+dd, -0.9*min3(d))
		normal = *mat.NewSymDense(2, []float64{a, c, c, b})
		if math.Abs(dl) < 1e-10*l && math.Abs(dd) < 1e-12 {
			break
		}
	}
	var inv mat.Dense
	if err := inv.Inverse(&normal); err != nil {
		return f, bad("distances", "too alike", "distances that differ by a third or more", "read nearer and farther")
	}
	f.Luminance, f.Offset = l, delta
	f.Cov = [2][2]float64{{inv.At(0, 0), inv.At(0, 1)}, {inv.At(1, 0), inv.At(1, 1)}}
	for i := range d {
		q := l * law(delta, d[i])
		f.At = append(f.At, d[i])
		f.Residuals = append(f.Residuals, e[i]/q-1)
		f.Sigmas = append(f.Sigmas, (e[i]-q)/u[i])
		f.Chi2 += sq((e[i] - q) / u[i])
	}
	f.Chi2 += sq(delta / o.OffsetU)
	f.Freedom = n - 1 // two unknowns, one of them known beforehand
	f.P = 1 - distuv.ChiSquared{K: float64(f.Freedom)}.CDF(f.Chi2)
	f.judge()
	return f, nil
}

func (o FitOptions) withDefaults() FitOptions {
	def := func(x *float64, v float64) {
		if *x == 0 {
			*x = v
		}
	}
	def(&o.Repeat, 0.005)
	def(&o.Ruler, 0.001)
	def(&o.OffsetU, 0.003/math.Sqrt(3))
	return o
}

func sq(x float64) float64 { return x * x }

func min3(d []float64) float64 {
	m := d[0]
	for _, x := range d {
		m = math.Min(m, x)
	}
	return m
}

func distinct(d []float64) int {
	n := 0
	for i, x := range d {
		same := false
		for _, y := range d[:i] {
			same = same || math.Abs(x-y) < 0.02*x
		}
		if !same {
			n++
		}
	}
	return n
}

func (f *Fit) judge() {
	worst, at := 0.0, 0.0
	for i, r := range f.Residuals {
		if math.Abs(r) > math.Abs(worst) {
			worst, at = r, f.At[i]
		}
	}
	if f.P < 0.01 {
		f.Findings = append(f.Findings, finding.Finding{
			Severity: finding.Warn, Key: "measure.distance_misfit",
			What:   fmt.Sprintf("the readings do not follow an even face of %.0f × %.0f mm: %+.1f %% at %.0f mm, chance of so bad a fit %.2g", 1e3*f.Length, 1e3*f.Width, 100*worst, 1e3*at, f.P),
			Cause:  "a distance is wrong, the face is uneven, the size is not that of the luminous part, or the room returns light at the longer distances",
			Mend:   "check the distance with the largest residual and the size of the face, read again in a dark room",
			Source: "chi-squared test; JCGM 100:2008 (GUM), H.3",
		})
	}
	if len(f.Skipped) > 0 {
		f.Findings = append(f.Findings, finding.Finding{
			Severity: finding.Note, Key: "measure.over_range",
			What:   fmt.Sprintf("%d of %d readings were over range and are left out of the fit", len(f.Skipped), len(f.Skipped)+len(f.At)),
			Cause:  "an over-range reading is a lower bound only",
			Mend:   "read farther away or switch the range",
			Source: "definition",
		})
	}
}

// Range is from the nearest to the farthest distance read, m.
func (f Fit) Range() (lo, hi float64) {
	lo, hi = f.At[0], f.At[0]
	for _, d := range f.At {
		lo, hi = math.Min(lo, d), math.Max(hi, d)
	}
	return lo, hi
}

// sources names the two independent errors of a fit.
func (f Fit) terms(x, dL, dDelta float64, run string) quantity.Value {
	// Cholesky: the level, and what the offset adds once the level is known.
	a := math.Sqrt(f.Cov[0][0])
	b := f.Cov[0][1] / a
	c := math.Sqrt(math.Max(0, f.Cov[1][1]-b*b))
	return quantity.Combine(x,
		quantity.Part{Value: quantity.Measured(0, 1, run+" readings at several distances"), Slope: dL*a + dDelta*b},
		quantity.Part{Value: quantity.Measured(0, 1, run+" zero of the distances"), Slope: dDelta * c})
}

// Illuminance is the law's value at d m on the axis, lx, d counted as the
// readings were, with the fit's uncertainty; run names its errors. Outside the
// distances read by more than a third it refuses with an *InputError.
func (f Fit) Illuminance(d float64, run string) (quantity.Value, error) {
	lo, hi := f.Range()
	if !(d >= lo/1.34 && d <= hi*1.34) {
		return quantity.Value{}, bad("distance", fmt.Sprintf("%.0f mm", 1e3*d), fmt.Sprintf("%.0f to %.0f mm, a third beyond what was read", 1e3*lo/1.34, 1e3*hi*1.34), "read at that distance")
	}
	q := optics.OnAxis(1, f.Length, f.Width, d+f.Offset)
	s := (optics.OnAxis(1, f.Length, f.Width, d+f.Offset+1e-5) - optics.OnAxis(1, f.Length, f.Width, d+f.Offset-1e-5)) / 2e-5
	return f.terms(f.Luminance*q, q, f.Luminance*s, run), nil
}

// Mean is the effective luminance with the fit's uncertainty, cd/m².
func (f Fit) Mean(run string) quantity.Value { return f.terms(f.Luminance, 1, 0, run) }

// Exponent is the local fall-off n in E ∝ d⁻ⁿ of an even a × b face at d m on
// its axis: 0 at the face, 2 far away.
func Exponent(length, width, d float64) float64 {
	h := 1e-4 * d
	up, down := optics.OnAxis(1, length, width, d+h), optics.OnAxis(1, length, width, d-h)
	return -math.Log(up/down) / math.Log((d+h)/(d-h))
}
