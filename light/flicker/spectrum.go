package flicker

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

// spectrum is the Hann-windowed spectrum of a waveform over its mean: power
// per bin, scaled so that the bins of one line sum to half its amplitude
// squared.
type spectrum struct {
	df    float64 // Hz a bin
	power []float64
}

// clusterHalf bins to each side carry a Hann-windowed line to within 1e-5.
const clusterHalf = 4

func (w Waveform) spectrum(mean float64) *spectrum {
	n := smooth(len(w.Samples))
	x := make([]float64, n)
	for k, s := range w.Samples[:n] {
		// Hann, periodic form; its mean square is 3/8.
		h := 0.5 - 0.5*math.Cos(2*math.Pi*float64(k)/float64(n))
		x[k] = (s/mean - 1) * h
	}
	c := fourier.NewFFT(n).Coefficients(nil, x)
	s := &spectrum{df: 1 / (w.Dt * float64(n)), power: make([]float64, len(c))}
	scale := 2 / (0.375 * float64(n) * float64(n))
	for k, v := range c {
		s.power[k] = scale * (real(v)*real(v) + imag(v)*imag(v))
	}
	return s
}

// smooth is the largest product of twos, threes and fives up to n: a record's
// end is left out for the sake of a fast transform, at most a tenth of a short
// record and a thousandth of a long one.
func smooth(n int) int {
	best := 1
	for a := 1; a <= n; a *= 2 {
		for b := a; b <= n; b *= 3 {
			c := b
			for c*5 <= n {
				c *= 5
			}
			best = max(best, c)
		}
	}
	return best
}

// rescale refers the spectrum to another mean.
func (s *spectrum) rescale(from, to float64) {
	f := from / to * (from / to)
	for k := range s.power {
		s.power[k] *= f
	}
}

func (s *spectrum) nyquist() float64 { return s.df * float64(len(s.power)-1) }

// lines takes the strongest line, sets its bins aside, takes the next, and so
// on: at most n, between lo and hi Hz, down to the floor relative to the mean
// and to a thousandth of the strongest. Lines closer than a few bins run
// together.
func (s *spectrum) lines(n int, lo, hi, floor float64) []Line {
	type peak struct {
		bin   int
		power float64
	}
	var peaks []peak
	// A slow drift leaks into the first bins; a line needs three periods.
	first := 3
	for k := max(first, int(lo/s.df-clusterHalf)); k < len(s.power); k++ {
		left, right := s.power[k-1], 0.0
		if k+1 < len(s.power) {
			right = s.power[k+1]
		}
		if s.power[k] < floor*floor/16 {
			continue // its bins cannot sum to a line above the floor
		}
		if s.power[k] >= left && s.power[k] > right && float64(k)*s.df <= hi+clusterHalf*s.df {
			peaks = append(peaks, peak{k, s.power[k]})
		}
	}
	slices.SortFunc(peaks, func(a, b peak) int {
		switch {
		case a.power > b.power:
			return -1
		case a.power < b.power:
			return 1
		}
		return a.bin - b.bin
	})
	used := make([]bool, len(s.power))
	var out []Line
	for _, p := range peaks {
		if len(out) == n {
			break
		}
		if used[p.bin] {
			continue
		}
		sum := 0.0
		for k := max(first-1, p.bin-clusterHalf); k <= min(len(s.power)-1, p.bin+clusterHalf); k++ {
			if !used[k] {
				sum += s.power[k]
				used[k] = true
			}
		}
		l := Line{Frequency: s.interpolate(p.bin), Amplitude: math.Sqrt(2 * sum)}
		if l.Frequency < lo-0.5*s.df || l.Frequency > hi+0.5*s.df {
			continue
		}
		if l.Amplitude < floor || len(out) > 0 && l.Amplitude < 1e-3*out[0].Amplitude {
			break
		}
		out = append(out, l)
	}
	return out
}

// interpolate finds the frequency of a Hann-windowed line between bins from
// the ratio r of the two largest: offset (2r-1)/(r+1) (Grandke, IEEE Trans.
// Instrum. Meas. 32 (1983) 350).
func (s *spectrum) interpolate(k int) float64 {
	if k == 0 || k+1 >= len(s.power) {
		return float64(k) * s.df
	}
	side, sign := s.power[k+1], 1.0
	if s.power[k-1] > side {
		side, sign = s.power[k-1], -1
	}
	r := math.Sqrt(side / s.power[k])
	return (float64(k) + sign*(2*r-1)/(r+1)) * s.df
}

// noise is the root mean square, over the mean, of everything that is none of
// the lines.
func (s *spectrum) noise(lines []Line) float64 {
	used := make([]bool, len(s.power))
	for _, l := range lines {
		k := int(math.Round(l.Frequency / s.df))
		for b := max(0, k-clusterHalf); b <= min(len(used)-1, k+clusterHalf); b++ {
			used[b] = true
		}
	}
	sum := 0.0
	for k := 3; k < len(s.power); k++ {
		if !used[k] {
			sum += s.power[k]
		}
	}
	return math.Sqrt(sum)
}

// fundamental is the frequency of which all strong lines are multiples: the
// lowest strong line, or a half or third of it. Strong means a twentieth of
// the strongest. When there is none the lowest strong line is given and
// periodic is false.
func fundamental(lines []Line, span float64) (f float64, periodic bool) {
	if len(lines) == 0 {
		return 0, false
	}
	var strong []Line
	low := math.Inf(1)
	for _, l := range lines {
		if l.Amplitude >= 0.05*lines[0].Amplitude {
			strong = append(strong, l)
			low = min(low, l.Frequency)
		}
	}
	for part := 1; part <= 3; part++ {
		f := low / float64(part)
		ok := true
		sum, weight := 0.0, 0.0
		for _, l := range strong {
			m := math.Round(l.Frequency / f)
			if math.Abs(l.Frequency-m*f) > 0.5*span*max(1, m/4) {
				ok = false
				break
			}
			// A line's frequency is known alike well, so its m-th part m
			// times better.
			a := l.Amplitude * l.Amplitude * m * m
			sum += a * l.Frequency / m
			weight += a
		}
		if ok {
			return sum / weight, true
		}
	}
	return low, false
}
