package optics

// Band is what the surfaces do in one stretch of the spectrum.
type Band struct {
	Walls float64 // total reflectance; mirror shares stay those of the box
	Floor float64
	Strip float64
	T     float64 // of the sheet; a TDiffuse of the box scales with it
	R     float64
}

// Spectral is the efficiency in each band, so that the light that leaves is
// S_out(λ) = η(λ)·S_LED(λ). It is Screen's balance of each band,
// scaled so that the box's own reflectances give full, the efficiency of the
// full solution; full = 0 leaves it unscaled. The shape holds to 0.1 %. The
// error is an *InputError.
//
// Not modelled: change of the face's evenness over the spectrum.
func (p *Prepared) Spectral(own Finish, full float64, bands []Band) ([]float64, error) {
	if err := within("efficiency", full, 0, 1, "give the full solution's, or 0"); err != nil {
		return nil, err
	}
	k := 1.0
	if full > 0 {
		q, err := p.efficiency(own)
		if err != nil {
			return nil, err
		}
		if q > 0 {
			k = full / q
		}
	}
	out := make([]float64, len(bands))
	for i, b := range bands {
		f := own
		f.Walls.Reflectance, f.Floor.Reflectance, f.StripReflectance = b.Walls, b.Floor, b.Strip
		if own.Sheet.TDiffuse > 0 && own.Sheet.T > 0 {
			f.Sheet.TDiffuse = min(1, own.Sheet.TDiffuse*b.T/own.Sheet.T)
		}
		f.Sheet.T, f.Sheet.R = b.T, b.R
		q, err := p.efficiency(f)
		if err != nil {
			return nil, err
		}
		out[i] = k * q
	}
	return out, nil
}

// efficiency is Screen's efficiency alone.
func (p *Prepared) efficiency(f Finish) (float64, error) {
	err := firstOf(f.Walls.validate(fieldAt{"walls", -1}), f.Floor.validate(fieldAt{"floor", -1}), f.Sheet.Validate(),
		within("strip_reflectance", f.StripReflectance, 0, 1, "give the share of light that comes back"))
	if err != nil {
		return 0, err
	}
	l := p.zones.solve(f.Walls, f.Floor, f.StripReflectance, f.Sheet)
	return f.Sheet.T*l.arrive + f.Sheet.tDiffuse()*(l.sheet[0]+l.sheet[1]-l.arrive), nil
}

// Bounces are the mean reflections on walls, floor and sheet of the light
// that gets out, ∂ln η/∂ln ρ with mirror shares held, for another finish.
func (p *Prepared) Bounces(f Finish) (Bounces, error) {
	eta, err := p.efficiency(f)
	if err != nil || eta == 0 {
		return Bounces{}, err
	}
	const step = 1e-4
	slope := func(change func(f *Finish, k float64)) float64 {
		g := f
		change(&g, 1-step)
		low, e := p.efficiency(g)
		if e != nil {
			err = e
		}
		return (eta - low) / (step * eta)
	}
	n := Bounces{
		Walls: slope(func(f *Finish, k float64) { f.Walls.Reflectance *= k }),
		Floor: slope(func(f *Finish, k float64) { f.Floor.Reflectance *= k; f.StripReflectance *= k }),
		Sheet: slope(func(f *Finish, k float64) { f.Sheet.R *= k }),
	}
	return n, err
}
