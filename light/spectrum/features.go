package spectrum

import "slices"

// Feature is a peak or a dip of a spectrum.
type Feature struct {
	NM    float64 // nm, to a fraction of a sample
	Value float64 // of the spectrum there
	// Prominence is how far a peak rises above the higher of the two valleys
	// beside it, or a dip falls below the lower of the two peaks beside it, as
	// a share of the spectrum's greatest value.
	Prominence float64
	// Width is the full width at half of the peak's height, nm; 0 for a dip
	// and for a peak whose flank leaves the grid.
	Width float64
}

// Peaks lists the peaks that rise by at least the given share (0 to 1) of the
// greatest value above the valleys beside them, by wavelength. The ends of the
// grid are no peaks. The ends of the grid are no
// peaks.
func (s *Spectrum) Peaks(prominence float64) []Feature {
	r := s.extrema(prominence, false)
	for i := range r {
		r[i].Width = s.width(r[i].NM, r[i].Value/2)
	}
	return r
}

// Dips lists the dips between peaks that fall by at least the given share of
// the greatest value, by wavelength. The dark ends of a spectrum are no dips.
func (s *Spectrum) Dips(prominence float64) []Feature { return s.extrema(prominence, true) }

// extrema walks along the spectrum and takes turning points in turn: a peak
// counts once the curve has fallen by the threshold after it, a dip once it
// has risen. Noise smaller than the threshold makes none.
func (s *Spectrum) extrema(prominence float64, dips bool) []Feature {
	_, top := s.Peak()
	if top <= 0 {
		return nil
	}
	threshold := max(prominence, 1e-9) * top
	type turn struct {
		i    int
		peak bool
		open bool // the curve does not fall far enough after it
	}
	var turns []turn
	rising := true
	best := 0
	for i, v := range s {
		switch {
		case rising && v > s[best], !rising && v < s[best]:
			best = i
		case rising && v <= s[best]-threshold, !rising && v >= s[best]+threshold:
			turns = append(turns, turn{best, rising, false})
			rising, best = !rising, i
		}
	}
	if rising && len(turns) > 0 && s[best]-s[turns[len(turns)-1].i] >= threshold {
		turns = append(turns, turn{best, true, true})
	}
	var r []Feature
	for k, t := range turns {
		if t.peak == dips || t.open || t.i == 0 || t.i == N-1 || (dips && k == len(turns)-1) {
			continue
		}
		left, right := slices.Min(s[:t.i+1]), slices.Min(s[t.i:])
		if k > 0 {
			left = s[turns[k-1].i]
		}
		if k < len(turns)-1 {
			right = s[turns[k+1].i]
		}
		f := Feature{NM: s.vertex(t.i), Value: s[t.i]}
		if dips {
			f.Prominence = (min(left, right) - s[t.i]) / top
		} else {
			f.Prominence = (s[t.i] - max(left, right)) / top
		}
		r = append(r, f)
	}
	slices.SortFunc(r, func(a, b Feature) int { return int(a.NM - b.NM) })
	return r
}

// vertex refines a turning point by the parabola through three samples.
func (s *Spectrum) vertex(i int) float64 {
	if i == 0 || i == N-1 {
		return Wavelength(i)
	}
	bend := s[i-1] - 2*s[i] + s[i+1]
	if bend == 0 {
		return Wavelength(i)
	}
	return Wavelength(i) + min(max((s[i-1]-s[i+1])/(2*bend), -0.5), 0.5)
}

// width is the distance between the places on either side of nm where the
// spectrum first falls to level, 0 if it does not on one side.
func (s *Spectrum) width(nm, level float64) float64 {
	i := int(nm - First + 0.5)
	var ends [2]float64
	for side, step := range [2]int{-1, 1} {
		k := i
		for s[k] > level {
			k += step
			if k < 0 || k >= N {
				return 0
			}
		}
		f := (level - s[k]) / (s[k-step] - s[k])
		ends[side] = Wavelength(k) - f*float64(step)
	}
	return ends[1] - ends[0]
}

// Band is the part of the power in 380–780 nm that lies from lo to hi (nm),
// 0 to 1; samples at the borders count half. 0 for darkness.
func (s *Spectrum) Band(lo, hi float64) float64 {
	total := s.Power()
	if total <= 0 {
		return 0
	}
	var sum float64
	for i, v := range s {
		switch nm := Wavelength(i); {
		case nm > lo && nm < hi:
			sum += v
		case nm == lo || nm == hi:
			if lo <= First && nm == First || hi >= Last && nm == Last {
				sum += v
			} else {
				sum += v / 2
			}
		}
	}
	return sum / total
}
