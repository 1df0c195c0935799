package colour

import "dawnsmith/light/spectrum"

// Colour is every colour measure of one light.
type Colour struct {
	XYZ2, XYZ10 XYZ // Y = 100
	Temperature Temperature
	Rendering   Rendering
	Fidelity    Fidelity
}

// Of fills dst with every colour measure of a light, sharing the work between
// them and allocating nothing. dst is untouched on error.
func Of(dst *Colour, s *spectrum.Spectrum) error {
	white, t, err := whiteAndTemperature(s)
	if err != nil {
		return err
	}
	f := folded()
	dst.XYZ2 = white.scaled(100 / white.Y)
	ten := weigh(s, &f.cmf10)
	dst.XYZ10 = ten.scaled(100 / ten.Y)
	dst.Temperature = t
	if !t.Valid {
		dst.Rendering, dst.Fidelity = Rendering{}, Fidelity{}
		return nil
	}
	var ref standardView
	reference(&ref, t.Kelvin)
	dst.Rendering = f.render(s, white, ref.white, &ref.test)
	dst.Rendering.Reference = renderingKind(t.Kelvin)
	var test [evaluationSamples]lab
	f.appearances(&test, s)
	compare(&dst.Fidelity, &test, &ref.evaluation)
	dst.Fidelity.Reference = fidelityKind(t.Kelvin)
	return nil
}
