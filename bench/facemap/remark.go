package facemap

import (
	"fmt"
	"math"

	"dawnsmith/finding"
	"dawnsmith/quantity"
)

const practice = "common practice, no source"

// remarks say what limits the map.
func (w *work) remarks() {
	m, o, r := w.m, w.o, w.reg
	add := func(sev finding.Severity, key, what, cause, mend string) {
		m.Findings = append(m.Findings, finding.Finding{Severity: sev, Key: "facemap." + key, What: what, Cause: cause, Mend: mend, Source: practice})
	}
	percent := func(x float64) string { return quantity.Digits(100*x, 2) + " %" }
	if m.Clipped > 0 {
		add(finding.Warn, "clipped", percent(m.Clipped)+" of the face's pixels are at the end of the camera's scale: peak, ripple and cones are too low",
			"the picture is overexposed", "expose shorter until no pixel of any channel is at its end")
	}
	if m.Exposure < 0.05 {
		add(finding.Warn, "exposure", "the face's mean is "+percent(m.Exposure)+" of full scale: noise and steps of the scale show as unevenness",
			"the picture is underexposed", "expose longer: a mean of 20 to 60 % is good")
	}
	if m.Exposure*float64(w.p.Steps) < 30 {
		add(finding.Warn, "steps", fmt.Sprintf("the face is told in about %s steps of the scale", quantity.Digits(m.Exposure*float64(w.p.Steps), 2)), "too few codes for the light", "take a picture of 16 bits, or expose longer")
	}
	if o.Black == 0 {
		add(finding.Note, "black", "no black level was given: what the covered lens reads was taken as 0", "a sensor's zero is seldom at code 0", "photograph with the lens covered and give its mean")
	}
	if w.flare > 0.05 {
		add(finding.Warn, "flare", "outside the face the picture is "+percent(w.flare)+" as bright as the face on average: stray light in the lens lifts the dark parts by a few hundredths of that",
			"a lit room, a bright surround, or a black level that is too low", "darken the room, and cover bright surfaces with black cloth")
	}
	if w.p.Coded {
		add(finding.Warn, "coded", "the picture was taken as sRGB-coded: ratios are good to 20 % of what they differ from 1", "cameras bend their curve to please", "develop the raw file to a linear picture of 16 bits")
	}
	channels := "a monochrome sensor answers"
	if w.p.Colour {
		channels = "the camera's three channels, weighed together, answer"
	}
	add(finding.Note, "colour", channels+" unlike the eye's V(λ): the map is right where the whole face has one colour, as the reading gives the level",
		"no camera has the eye's response", "do not compare patches of different colour in one picture")
	if f := w.falloff(); f > 0.02 {
		add(finding.Note, "falloff", "the face reaches "+percent(w.reach)+" of the way to the picture's corners, where lenses darken: "+percent(f)+" of every ratio is counted as uncertain for it",
			"cos⁴ falloff and vignetting of the lens", "step back, so that the face fills the middle third, and stop the lens down")
	}
	for _, c := range m.Cones {
		if !c.Resolved {
			add(finding.Warn, "unresolved", fmt.Sprintf("a cone of %g mrad at %g mm is %s mm wide and a pixel of the map %s mm: the brightest pixel stands for it, and it may be too low",
				1000*c.Angle, 1000*c.Distance, quantity.Digits(1000*c.Diameter, 2), quantity.Digits(1000*math.Max(w.dx, w.dy), 2)), "the picture is too coarse", "take it closer, or a part of the face")
		}
	}
	if len(m.Cones) == 0 {
		add(finding.Note, "size", "the face's size is unknown: no area and no cones", "", "give the size of the luminous face")
	}
	if o.Corners != nil {
		if w.tilt > 0.1 {
			add(finding.Note, "tilt", "opposite sides of the face differ by "+percent(w.tilt)+" in the picture: it was taken from the side, and each part is seen from another direction",
				"luminance may depend on direction", "photograph from the face's axis, from further away")
		}
		return
	}
	if fill := float64(r.cells) / float64((r.x1-r.x0)*(r.y1-r.y0)); fill < 0.96 {
		add(finding.Warn, "outline", "the bright area fills "+percent(fill)+" of the box around it: the face is turned, seen from the side, dark at its rim, or no rectangle",
			"sizes and the mean go by the area found", "give its corners, or turn the camera")
	}
	if o.Width > 0 {
		box, given := float64(r.x1-r.x0)/float64(r.y1-r.y0), o.Width/o.Height
		if q := box / given; q > 1.05 || q < 1/1.05 {
			mend := "photograph squarely, or give the corners"
			if q2 := box * given; q2 < 1.05 && q2 > 1/1.05 {
				mend = "width and height may be swapped: width lies along the picture's width"
			}
			add(finding.Warn, "aspect", fmt.Sprintf("the face is %s times as wide as high in the picture and %s times by its size", quantity.Digits(box, 3), quantity.Digits(given, 3)),
				"seen from the side, turned, or the size is another", mend)
		}
	}
	if r.touches {
		add(finding.Warn, "cut_off", "the bright area touches the picture's edge: the face may be cut off", "", "leave some dark around the face")
	}
	if float64(r.second) > 0.1*float64(r.cells) {
		add(finding.Warn, "second", "another bright area, "+percent(float64(r.second)/float64(r.cells))+" as large, was left out", "a reflection, another lamp, or a face in parts", "cover it, or give the corners of the whole face")
	}
}
