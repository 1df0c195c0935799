package predict

import (
	"errors"
	"fmt"
	"math"

	"dawnsmith/finding"
	"dawnsmith/lamp"
	"dawnsmith/lamp/circuit"
	"dawnsmith/lamp/heat"
	"dawnsmith/lamp/optics"
	"dawnsmith/light/spectrum"
)

// Result is a lamp worked out.
type Result struct {
	Lamp lamp.Lamp
	// Numbers holds every measure by its key (see Metrics), in the unit that
	// the metric declares.
	Numbers map[string]float64
	// Channels is what each channel does at its drive.
	Channels []Channel
	// Spectrum is the spectral irradiance at the eye, W/(m² nm), brow cut.
	Spectrum spectrum.Spectrum
	Circuit  *circuit.Solution
	// RowCurrent is the warm current of each row, all channels full on, A.
	RowCurrent []float64
	Heat       heat.Result
	HeatInput  heat.Input // corrected by the lamp's readings
	Correction heat.Correction
	Optics     optics.Balance
	Box        optics.Box
	// Face is the map of the face; nil from the Quick grade.
	Face *optics.Face
	// Light is the solved box, for more places and views; nil from Quick.
	Light *optics.Solution
	Grade Grade
	// layout is the circuit at the final temperatures.
	layout circuit.Layout
	// glare is at the eye; empty unless Full.
	glare optics.Glare
	// varies is what makes the light vary in time, once it is worked out.
	varies []Variation
	// LuxBound bounds the relative error of the light model's luminance and
	// illuminance.
	LuxBound float64
	Findings []finding.Finding
	// Assumptions are the model's statements about this lamp, in words.
	Assumptions []string
	// Rounds is how often circuit, heat and light went round.
	Rounds int
}

// Channel is one channel's share of a prediction.
type Channel struct {
	Name   string  `json:"name"`
	Duty   float64 `json:"duty"`
	Power  float64 `json:"power_w"`  // average at the drive, W
	Flux   float64 `json:"flux_lm"`  // average at the drive, from the LEDs, lm
	CCT    float64 `json:"cct_k"`    // of its own light at the eye
	Origin string  `json:"spectrum"` // where its spectrum comes from
}

// ErrNoAgreement means that circuit and heat did not settle.
var ErrNoAgreement = errors.New("circuit and heat do not settle on a temperature: the lamp runs away; use fewer watts or a better cooled tray")

// Grade is how finely the light is followed; circuit and heat are the same in
// all.
type Grade int

const (
	// Full follows the light patch by patch at its usual fineness: what is
	// published.
	Full Grade = iota
	// Live does so more coarsely, for sliders: a few milliseconds.
	Live
	// Quick takes floor, walls and sheet as evenly bright, and leaves findings
	// and assumptions out.
	Quick
	// balanced takes the balance of a solver at hand, without the face.
	balanced
	// fluxOnly stops at the light of the LEDs.
	fluxOnly
)

// bound is what each grade's luminance and illuminance may be off by,
// relative, as lamp/optics states it.
func (g Grade) bound(q optics.Quick) float64 {
	switch g {
	case Full:
		return 0.005
	case Live:
		return 0.01
	}
	return q.LuxBound
}

// Lamp works one lamp out in full. It fails on a lamp that the models cannot
// describe (see each package's range); faults of a describable lamp are
// findings.
func Lamp(l lamp.Lamp) (Result, error) { return At(l, Full) }

// At works one lamp out at a grade.
func At(l lamp.Lamp, g Grade) (Result, error) {
	p, err := Prepare(l)
	if err != nil {
		return Result{}, err
	}
	return p.At(l, g)
}

// unworked is the result of a lamp that must not be powered at all: its parts'
// own numbers and the findings, no prediction.
func unworked(l lamp.Lamp, fs []finding.Finding) Result {
	finding.Sort(fs)
	return Result{Lamp: l, Findings: fs, Numbers: geometry(l),
		Assumptions: []string{"not worked out: supply and strip do not belong together, and their currents would mean nothing"}}
}

// geometry gives the numbers that need no physics.
func geometry(l lamp.Lamp) map[string]float64 {
	return map[string]float64{
		LampMass: l.Mass(), FaceLength: l.Tray.Length * 1000, FaceWidth: l.Tray.Width * 1000, TrayDepth: l.Tray.Depth * 1000,
		StripMetres: l.StripLength(), EyeElevation: l.Spec.Place.Elevation() * 180 / math.Pi,
	}
}

// state is what goes round between circuit, heat and light.
type state struct {
	strip    float64 // mean strip temperature, K
	junction float64 // mean junction temperature, K
}

// nominal is what one cut unit of a channel does by its datasheet.
type nominal struct {
	unit    circuit.Unit
	current float64 // A at the nominal voltage
	flux    float64 // lm
	rise    float64 // junction over pad, K
	coef    float64 // flux per kelvin, 1/K
}

func (p *Prepared) nominals(l lamp.Lamp) ([]nominal, error) {
	out := make([]nominal, len(l.Strip.Channels))
	for i, c := range l.Strip.Channels {
		u, err := unitFor(l.Strip, c)
		if err != nil {
			return nil, fmt.Errorf("strip %q, channel %q: %w", l.Strip.ID, c.Name, err)
		}
		current, _ := u.Current(l.Strip.Voltage)
		measured := c.BestPower().X / c.Power.X
		n := nominal{unit: u, current: current, coef: c.FluxPerKelvin.X}
		n.flux = c.Flux.X * l.Strip.Cut * circuit.RelativeFlux(measured)
		if n.coef == 0 {
			n.coef = heat.DefaultFluxCoefficient
		}
		radiant := c.Flux.X / c.Power.X / p.sources[i].LER
		perLED := c.BestPower().X * l.Strip.Cut / float64(l.Strip.LEDsPerUnit())
		// The resistor or regulator of a unit takes its part of the watts
		// outside the LEDs.
		share := math.Min(1, float64(l.Strip.Series)*c.ForwardVoltage()/l.Strip.Voltage)
		n.rise = junctionR(l.Strip) * math.Max(0, perLED*(share-radiant))
		out[i] = n
	}
	return out, nil
}

// Lamp works out one lamp of the prepared family in full.
func (p *Prepared) Lamp(l lamp.Lamp) (Result, error) { return p.At(l, Full) }

// At works out one lamp of the prepared family at a grade.
func (p *Prepared) At(l lamp.Lamp, g Grade) (Result, error) {
	if err := p.fits(l); err != nil {
		return Result{}, err
	}
	if fs := l.Review(); finding.Has(fs, "circuit.voltage_match") {
		return unworked(l, fs), nil
	}
	noms, err := p.nominals(l)
	if err != nil {
		return Result{}, err
	}
	own := *p
	p = &own
	if g != Live {
		own.cache = nil // the flux along the rows differs from lamp to lamp
	}
	r := Result{Lamp: l, Numbers: map[string]float64{}, Grade: Quick}
	if g == Live && p.reuse(box(l)) {
		r.Grade = balanced
	}
	s := state{strip: l.Spec.Place.Air + 20, junction: l.Spec.Place.Air + 25}
	cold := 0.0
	for r.Rounds = 1; ; r.Rounds++ {
		if r.Rounds > 40 {
			return Result{}, ErrNoAgreement
		}
		next, err := p.round(l, noms, s, &r)
		if err != nil {
			return Result{}, err
		}
		if r.Rounds == 1 {
			c := Result{Lamp: l, Numbers: map[string]float64{}, Grade: fluxOnly}
			if _, err := p.round(l, noms, state{reference, reference + noms[0].rise}, &c); err != nil {
				return Result{}, err
			}
			cold = c.Numbers[FluxLED]
		}
		moved := math.Max(math.Abs(next.strip-s.strip), math.Abs(next.junction-s.junction))
		s = next
		if math.IsNaN(moved) || s.junction > 700 {
			return Result{}, ErrNoAgreement
		}
		if moved < 0.01 {
			if r.Grade == g {
				break
			}
			r.Grade = g // temperatures are nearly right: now follow the light in full
		}
	}
	r.Numbers[FluxShare] = r.Numbers[FluxLED] / cold
	if err := p.finish(l, &r); err != nil {
		return Result{}, err
	}
	for k, v := range r.Numbers {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return Result{}, fmt.Errorf("internal: %s came out as %v; please report the lamp file", k, v)
		}
	}
	return r, nil
}

// round goes once through circuit, light and heat at the temperatures s and
// returns those that follow.
func (p *Prepared) round(l lamp.Lamp, noms []nominal, s state, r *Result) (state, error) {
	units := make([]circuit.Unit, len(noms))
	for i, n := range noms {
		units[i] = n.unit.Warmed(s.strip - reference)
	}
	lay, err := layout(l, units, s.strip)
	if err != nil {
		return state{}, err
	}
	sol, err := lay.Solve()
	if err != nil {
		return state{}, fmt.Errorf("circuit: %w", err)
	}
	r.Circuit, r.layout = sol, lay

	// Light of every unit, its share of the power, and where it stands.
	b := box(l)
	per := l.Strip.LEDsPerUnit()
	power := make([]float64, len(noms))
	flux := make([]float64, len(noms))
	least := math.Inf(1)
	r.RowCurrent = make([]float64, l.Spec.Rows)
	rowPower := make([]float64, l.Spec.Rows)
	for i := range l.Spec.Rows {
		in := l.RowChannels(i)
		for k, c := range in {
			n := noms[c]
			row := &b.Rows[i*len(in)+k]
			row.Fluxes = make([]float64, row.Count)
			on := sol.Rows[i].First
			if k == 1 {
				on = sol.Rows[i].Second
			}
			v, cur := on.V, on.I
			for k := range cur {
				warm := heat.FluxFactor(s.junction, reference+n.rise, n.coef)
				f := n.flux * circuit.RelativeFlux(cur[k]/n.current) * warm * l.Duty(c)
				flux[c] += f
				w := v[k] * cur[k]
				power[c] += w * l.Duty(c)
				rowPower[i] += w * l.Duty(c)
				r.RowCurrent[i] += cur[k]
				least = math.Min(least, v[k])
				for j := range per {
					row.Fluxes[k*per+j] = f / float64(per)
				}
			}
		}
	}
	total, led := 0.0, 0.0
	r.Channels = r.Channels[:0]
	for c := range noms {
		total += power[c]
		led += flux[c]
		r.Channels = append(r.Channels, Channel{Name: p.sources[c].Name, Duty: l.Duty(c), Power: power[c], Flux: flux[c], Origin: p.sources[c].Origin})
	}
	if !(led > 0) {
		return state{}, errors.New("the lamp gives no light: the supply's voltage is below what the strip's LEDs need; check voltage and drive")
	}
	n := r.Numbers
	n[StripPower], n[FluxLED] = total, led
	if r.Grade == fluxOnly {
		return s, nil
	}
	r.Box = b
	if err := p.follow(b, r); err != nil {
		return state{}, fmt.Errorf("light: %w", err)
	}
	n[SupplyCurrent] = sol.SupplyCurrent
	n[SupplyLoad] = sol.SupplyCurrent * l.Supply.Voltage.X
	n[CopperLoss] = sol.Loss.Lamp()
	n[Evenness] = sol.MinOverMax
	if l.Interleaved() {
		n[Evenness] = lay.Evenness(sol) // of rows of one strip
	}
	n[LeadDrop] = l.Supply.Voltage.X - least

	// Heat: what leaves as light does not warm the lamp.
	radiant := 0.0
	for c := range noms {
		radiant += flux[c] / p.sources[c].LER
	}
	inside := (sol.Loss.Bus + sol.Loss.Rails + sol.Loss.Joints + sol.Loss.Taps) * averageDuty(l, power)
	shares, err := heat.Split(heat.Light{Electrical: total, RadiantShare: radiant / total, Escaping: r.Optics.Efficiency, InDiffuser: r.Optics.AbsorbedSheet})
	if err != nil {
		return state{}, fmt.Errorf("heat: %w", err)
	}
	in := plate(l)
	for i := range in.Rows {
		in.Rows[i].Heat = (shares.Strip + inside) * rowPower[i] / total
	}
	in.TrayHeat, in.DiffuserHeat = shares.Tray, shares.Diffuser
	leds := float64(l.LEDsPerRow() * l.Spec.Rows)
	in.LED.Heat = math.Max(0, p.ledHeat(l, power, radiant)/leds)
	in.LED.PadRise, err = heat.PadRise(heat.LEDCell{
		Heat: in.LED.Heat, Pitch: l.LEDPitch(), StripWidth: l.Strip.Width,
		CopperSheet: l.Strip.Copper * 34.8e-6 * 390, Resistance: in.StripResistance,
		PadLength: 0.003, PadWidth: 0.003,
	})
	if err != nil {
		return state{}, fmt.Errorf("heat: %w", err)
	}
	if r.Correction, err = heat.Correct(&in, readings(l)); err != nil {
		return state{}, fmt.Errorf("measured temperature: %w", err)
	}
	if len(l.Readings) > 0 {
		in = in.Corrected(r.Correction)
		n[HeatFactor] = r.Correction.Factor
	}
	h, err := heat.Series(&in)
	if err != nil {
		return state{}, fmt.Errorf("heat: %w", err)
	}
	r.Heat, r.HeatInput = h, in
	n[LampHeat] = shares.Total + inside
	return state{strip: h.StripMean, junction: h.StripMean + in.LED.PadRise + in.LED.Heat*in.LED.Resistance}, nil
}

// ledHeat is the heat set free in the LED packages themselves: their volts'
// share of the power less the light, W.
func (p *Prepared) ledHeat(l lamp.Lamp, power []float64, radiant float64) float64 {
	q := -radiant
	for i, c := range l.Strip.Channels {
		q += power[i] * math.Min(1, float64(l.Strip.Series)*c.ForwardVoltage()/l.Strip.Voltage)
	}
	return q
}
