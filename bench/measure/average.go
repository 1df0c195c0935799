package measure

import (
	"fmt"
	"math"
	"slices"
)

// Average is the mean of a log and how well it is known.
type Average struct {
	N    int     `json:"n"`
	Mean float64 `json:"mean"` // of all readings, those listed in Outliers too
	SD   float64 `json:"sd"`   // of the readings about the straight line through them
	// R1 is the correlation of neighbouring readings about that line;
	// Effective the number of independent readings the log is worth.
	R1        float64 `json:"r1"`
	Effective float64 `json:"effective"`
	// U is the standard uncertainty of the mean from the scatter: the larger
	// of SD/√Effective and that found from the means of Blocks equal blocks.
	U       float64 `json:"u"`
	Blocks  int     `json:"blocks"`
	BlockU  float64 `json:"block_u"`
	Freedom float64 `json:"freedom"` // degrees of freedom of U
	// Slope is the drift, per s, with its standard uncertainty.
	Slope  float64 `json:"slope"`
	SlopeU float64 `json:"slope_u"`
	Span   float64 `json:"span_s"`
	// Outliers are the indices of readings far off the rest; they stay in the
	// mean. MeanWithout is the mean without them.
	Outliers    []int   `json:"outliers,omitempty"`
	MeanWithout float64 `json:"mean_without"`
}

// outlierAt is the border in robust standard deviations.
//
// Source: Iglewicz & Hoaglin 1993, How to Detect and Handle Outliers, ASQC
// (modified z-score 3.5; 1.4826·MAD is the standard deviation for normal
// scatter).
const outlierAt = 3.5

// AverageOf averages a log of any quantity. t is in s, rising; nil stands for
// equal steps of 1 s.
//
//	n_eff = n·(1 − r₁)/(1 + r₁)
//
// r₁ is taken about the straight line by least squares, so that a drift is
// not counted as noise: it is the Slope. A negative r₁ counts as 0.
//
// Source: for n_eff, series of first-order correlation: von Storch & Zwiers
// 1999, Statistical Analysis in Climate Research, 6.6.8. Blocks of ten or more
// readings catch correlation that r₁ misses. Not modelled: drift that is not
// straight.
func AverageOf(t, x []float64) (Average, error) {
	if t == nil {
		t = make([]float64, len(x))
		for i := range t {
			t[i] = float64(i)
		}
	}
	if err := checkLog(t, x); err != nil {
		return Average{}, err
	}
	n := len(x)
	a := Average{N: n, Mean: mean(x), Span: t[n-1] - t[0]}
	tm, stt, stx := mean(t), 0.0, 0.0
	for i := range x {
		stt += (t[i] - tm) * (t[i] - tm)
		stx += (t[i] - tm) * (x[i] - a.Mean)
	}
	a.Slope = stx / stt
	res := make([]float64, n)
	for i := range x {
		res[i] = x[i] - a.Mean - a.Slope*(t[i]-tm)
	}
	if n == 2 {
		// A line through two readings leaves no scatter.
		a.Slope = 0
		res[0], res[1] = x[0]-a.Mean, x[1]-a.Mean
	}
	ss, lag := 0.0, 0.0
	for i, r := range res {
		ss += r * r
		if i > 0 {
			lag += r * res[i-1]
		}
	}
	a.SD = math.Sqrt(ss / float64(max(1, n-2)))
	if n == 2 {
		a.SD = math.Sqrt(ss)
	}
	if ss > 0 && n > 3 {
		// The estimate of r₁ from n readings is low by about (1 + 4 r₁)/n.
		a.R1 = lag / ss
		a.R1 = math.Min(0.999, a.R1+(1+4*a.R1)/float64(n))
	}
	r := math.Max(0, a.R1)
	a.Effective = math.Max(1, float64(n)*(1-r)/(1+r))
	a.U = a.SD / math.Sqrt(a.Effective)
	a.Freedom = math.Max(1, a.Effective-2)
	if n == 2 {
		a.Freedom = 1
	}
	a.SlopeU = a.SD / math.Sqrt(stt*a.Effective/float64(n))
	if b := min(12, n/10); b >= 4 {
		a.Blocks = b
		var bm []float64
		for k := range b {
			bm = append(bm, mean(res[k*n/b:(k+1)*n/b]))
		}
		s := 0.0
		for _, v := range bm {
			s += v * v
		}
		a.BlockU = math.Sqrt(s / float64(b-2) / float64(b))
		if a.BlockU > a.U {
			a.U, a.Freedom = a.BlockU, float64(b-2)
		}
	}
	a.Outliers = outliers(t, x)
	a.MeanWithout = a.Mean
	if len(a.Outliers) > 0 && len(a.Outliers) < n {
		s, k := 0.0, 0
		for i, v := range x {
			if !slices.Contains(a.Outliers, i) {
				s += v
				k++
			}
		}
		a.MeanWithout = s / float64(k)
	}
	return a, nil
}

// outliers are the indices at which a reading lies more than outlierAt times
// 1.4826·MAD off a straight line that outliers do not bend: least squares
// through the readings within that distance of a first line, whose slope is
// the median of the slopes between each reading and the one half the log
// later. Where more than half the readings agree exactly the MAD is 0; then the
// mean absolute deviation, times 1.2533, stands for it.
func outliers(t, x []float64) []int {
	n := len(x)
	if n < 5 {
		return nil
	}
	half := n / 2
	slopes := make([]float64, 0, n-half)
	for i := range n - half {
		slopes = append(slopes, (x[i+half]-x[i])/(t[i+half]-t[i]))
	}
	out := beyond(t, x, median(slopes))
	st, sx, stt, stx, k := 0.0, 0.0, 0.0, 0.0, 0.0
	for i := range x {
		if _, off := slices.BinarySearch(out, i); !off {
			st, sx, k = st+t[i], sx+x[i], k+1
		}
	}
	for i := range x {
		if _, off := slices.BinarySearch(out, i); !off {
			stt += sq(t[i] - st/k)
			stx += (t[i] - st/k) * (x[i] - sx/k)
		}
	}
	if k < 3 || stt == 0 {
		return out
	}
	return beyond(t, x, stx/stt)
}

func beyond(t, x []float64, slope float64) []int {
	n := len(x)
	res := make([]float64, n)
	for i := range x {
		res[i] = x[i] - slope*(t[i]-t[0])
	}
	m := median(res)
	dev := make([]float64, n)
	sum := 0.0
	for i, v := range res {
		dev[i] = math.Abs(v - m)
		sum += dev[i]
	}
	// Rounding of the line is no scatter.
	scale := 1.4826 * median(dev)
	if scale <= 1e-12*math.Abs(m) {
		scale = 1.2533 * sum / float64(n)
	}
	if scale <= 1e-12*math.Abs(m) {
		return nil
	}
	var out []int
	for i, d := range dev {
		if d > outlierAt*scale {
			out = append(out, i)
		}
	}
	return out
}

// Says tells drift and outliers in words, unit being that of the readings.
func (a Average) Says(unit string) []string {
	var s []string
	if math.Abs(a.Slope) > 2*a.SlopeU && a.Mean != 0 {
		s = append(s, fmt.Sprintf("drifts by %+.2g %% in an hour", 100*a.Slope*3600/a.Mean))
	}
	if k := len(a.Outliers); k > 0 {
		s = append(s, fmt.Sprintf("%d of %d readings lie far off the rest; they are counted: the mean is %.5g %s with and %.5g %s without them", k, a.N, a.Mean, unit, a.MeanWithout, unit))
	}
	return s
}
