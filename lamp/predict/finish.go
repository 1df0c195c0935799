package predict

import (
	"fmt"
	"maps"
	"math"
	"sync"

	"dawnsmith/lamp"
	"dawnsmith/lamp/circuit"
	"dawnsmith/lamp/optics"
	"dawnsmith/light/assay"
	"dawnsmith/light/spectrum"
)

func averageDuty(l lamp.Lamp, power []float64) float64 {
	on, full := 0.0, 0.0
	for i := range power {
		if d := l.Duty(i); d > 0 {
			on += power[i]
			full += power[i] / d
		}
	}
	if full == 0 {
		return 0
	}
	return on / full
}

// finish follows the light to meter and eye and takes every number.
func (p *Prepared) finish(l lamp.Lamp, r *Result) error {
	n := r.Numbers
	// What takes long and waits for nothing else goes on beside the rest.
	var rev circuit.Reviewed
	var fault error
	var ripple float64
	var beside sync.WaitGroup
	defer beside.Wait()
	if r.Grade != Quick {
		beside.Go(func() { rev, fault = review(l, r.layout) })
	}
	if r.Light != nil {
		beside.Go(func() { ripple = r.Light.Ripple() })
	}
	o, err := p.optical(l, r.Box)
	if err != nil {
		return err
	}
	finish := o.Finish(r.Box)
	q, err := o.Screen(finish)
	if err != nil {
		return fmt.Errorf("light: %w", err)
	}
	shape, err := transport(l, o, finish)
	if err != nil {
		return fmt.Errorf("light: %w", err)
	}
	// Spectrum of the flux that leaves, W/nm, and its lumens.
	var out spectrum.Spectrum
	for c, ch := range r.Channels {
		own := p.sources[c].Spectrum.Weight(&shape)
		part := own.Scale(ch.Flux * r.Optics.Efficiency)
		for k := range out {
			out[k] += part[k]
		}
		if t, err := cctOf(&own); err == nil {
			r.Channels[c].CCT = t
		}
	}
	flux := out.Luminous()
	area := l.FaceArea()
	n[FaceExitance], n[FluxOut], n[BoxShare] = flux/area, flux, flux/n[FluxLED]
	n[LostFloor], n[LostWalls], n[LostSheet] = r.Optics.AbsorbedFloor, r.Optics.AbsorbedWalls, r.Optics.AbsorbedSheet
	// The box lets the colours out unequally; what is read per lumen out stays.
	k := flux / r.Optics.Out
	look := faceLook{mean: q.Mean, centre: q.Centre, ripple: q.Ripple, lux: [targetCount]float64{q.Lux[atMeter], q.Lux[atEye], q.Lux[atEyeUncut]}}
	if r.Light != nil {
		if look, err = lookAt(l, r.Light, func() float64 { beside.Wait(); return ripple }); err != nil {
			return fmt.Errorf("light: %w", err)
		}
		p.more(l, r, k)
	}
	mean := look.mean * k
	n[FaceMean], n[Ripple] = mean, look.ripple
	slow := math.Max(math.Max(look.centre, look.brightest)*k, mean)
	n[FacePeak] = slow * (1 + look.ripple)
	n[FaceContrast] = mean / l.Spec.Place.Surround
	n[MeterLux], n[EyeLux], n[EyeLuxUncut] = look.lux[atMeter]*k, look.lux[atEye]*k, look.lux[atEyeUncut]*k
	n[optics.KeyPerArea] = n[MeterLux] / area
	var inCone float64
	if l.Interleaved() {
		if n[ColourStripe], err = p.stripe(l, r, q.Direct); err != nil {
			return fmt.Errorf("light: %w", err)
		}
	}
	if n[DotRatio], inCone, err = dots(l, r.Box, n[FluxLED], mean); err != nil {
		return err
	}
	r.LuxBound = r.Grade.bound(q)

	// An eye that sees nothing of the face has no light to tell the colour by.
	seen := n[EyeLux]
	for _, key := range []string{EyeLuxUncut, MeterLux} {
		if seen <= 0 {
			seen = n[key]
		}
	}
	r.Spectrum = out.Scale(seen / flux)
	a, err := assay.Of(&r.Spectrum, n[EyeLux])
	if err != nil {
		return fmt.Errorf("light: %w", err)
	}
	a.Each(func(k string, v float64) { n[k] = v })
	n[EyeMelanopic] = n[EyeLux] * n[DER]
	r.equalLight(k)
	kbv := n[BlueEfficacy] / 1000 // W/lm
	n[BlueFace] = kbv * slow
	n[BlueClose] = kbv * (n[FacePeak] + inCone)

	eff := l.Supply.Efficiency.X
	if eff == 0 {
		eff = 0.88
	}
	drawn := 0.0
	for _, c := range r.Channels {
		drawn += c.Power
	}
	n[MainsPower] = (drawn + (r.Circuit.Loss.Lamp()+r.Circuit.Loss.Supply)*averageDuty(l, powers(r.Channels))) / eff
	n[MainsEfficacy] = flux / n[MainsPower]
	label := l.LabelPower()
	n[SupplyNeeded] = 1.2 * math.Max(label, n[SupplyLoad]*(1+2*powerDoubt(l)))

	h := r.Heat
	n[StripTemp], n[JunctionTemp] = celsius(math.Max(h.StripMax, h.Pad)), celsius(h.Junction)
	n[BackTemp], n[FloorTemp], n[SheetTemp] = celsius(h.BackTouch), celsius(h.FloorMean), celsius(h.Diffuser)
	maps.Copy(n, geometry(l))
	if r.Grade == Quick {
		return nil // for loops: numbers only
	}
	if beside.Wait(); fault != nil {
		return fault
	}
	r.vary()
	r.Findings = findings(l, r, rev)
	r.Assumptions = p.assumptions(l, r)
	return nil
}

func powers(cs []Channel) []float64 {
	out := make([]float64, len(cs))
	for i, c := range cs {
		out[i] = c.Power
	}
	return out
}

// powerDoubt is the relative standard uncertainty of the strip's power.
func powerDoubt(l lamp.Lamp) float64 {
	u, p := 0.0, 0.0
	for _, c := range l.Strip.Channels {
		b := c.BestPower()
		u = math.Hypot(u, b.U())
		p += b.X
	}
	return u / p
}

func celsius(k float64) float64 { return k - 273.15 }
