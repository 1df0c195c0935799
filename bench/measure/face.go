package measure

import (
	"math"

	"dawnsmith/finding"
	"dawnsmith/quantity"
)

// FacePhoto is what was read off a photograph of the lit face: the mean over
// the face and the brightest patch, in one scale.
type FacePhoto struct {
	Max  float64 `json:"max"`
	Mean float64 `json:"mean"`
	Min  float64 `json:"min,omitempty"` // of the darkest patch; 0: not read
	// Black is the reading of the covered lens in the same scale.
	Black float64 `json:"black,omitempty"`
	// Linear says that the numbers are proportional to light (raw files);
	// else they are taken as sRGB-coded, Full being the code of full scale.
	Linear bool    `json:"linear"`
	Full   float64 `json:"full,omitempty"` // 0: 255
}

// linear turns a code into light, 0 to 1 for sRGB.
//
// Source: IEC 61966-2-1:1999 (sRGB).
func (p FacePhoto) linear(code float64) float64 {
	if p.Linear {
		return code - p.Black
	}
	v := code / p.Full
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

// HotSpot is the ratio of the brightest patch of a face to its mean: what
// makes peak luminance out of mean luminance. Linear values are taken as good
// to 5 %, coded ones to 20 % (cameras bend their curve; engineering
// estimates). The error is an *InputError.
//
// Not modelled: vignetting of the lens; keep the face in the middle of the
// picture.
func (p FacePhoto) HotSpot(run string) (ratio, evenness quantity.Value, fs []finding.Finding, err error) {
	if p.Full == 0 {
		p.Full = 255
	}
	if err := firstOf(
		within("face.mean", p.Mean, p.Black+1e-9, 1e9, "above black", ""),
		within("face.max", p.Max, p.Mean, 1e9, "at least the mean", "read the brightest small patch"),
		within("face.min", p.Min, 0, p.Mean, "0 (not read) up to the mean", "")); err != nil {
		return ratio, evenness, nil, err
	}
	if !p.Linear && p.Max > p.Full {
		return ratio, evenness, nil, bad("face.max", p.Max, "up to full scale", "give full scale, 255 for common pictures")
	}
	u := 0.05
	if !p.Linear {
		u = 0.20
		if p.Max >= 0.98*p.Full {
			fs = append(fs, finding.Finding{
				Severity: finding.Warn, Key: "measure.photo_clipped",
				What:   "the brightest patch is at full scale: the face is brighter there than the picture can tell",
				Cause:  "the picture is overexposed",
				Mend:   "expose shorter until nothing is at full scale",
				Source: "definition",
			})
		}
	}
	// u is that of the excess over the mean: a perfectly even face is known
	// to be even whatever the camera's curve.
	mean := p.linear(p.Mean)
	r := p.linear(p.Max) / mean
	ratio = quantity.Measured(r, u*(r-1)+0.01*r, run+" camera's curve")
	if p.Min > 0 {
		e := p.linear(p.Min) / mean
		evenness = quantity.Measured(e, u*(1-e)+0.01*e, run+" camera's curve, dark end")
	}
	return ratio, evenness, fs, nil
}
