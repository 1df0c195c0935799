package predict

import (
	"math"

	"dawnsmith/lamp"
	"dawnsmith/lamp/circuit"
	"dawnsmith/lamp/heat"
	"dawnsmith/lamp/optics"
	"dawnsmith/lamp/part"
)

// reference is the temperature at which datasheets state flux and current, K.
const reference = 298.15

// box places the lamp's surfaces in an optical box; flux per LED is 1 lm
// until the circuit is solved.
func box(l lamp.Lamp) optics.Box {
	metal := optics.Surface{Reflectance: l.Tray.Reflectance.X, Specular: l.Tray.Specular.X}
	walls, floor := metal, metal
	if l.Lining != nil {
		walls = optics.Surface{Reflectance: l.Lining.Reflectance.X, Specular: l.Lining.Specular.X}
		if l.Spec.LineFloor {
			floor = walls
		}
	}
	b := optics.Box{
		Length: l.RunLength(), Width: l.Across(), Height: l.Height(),
		Walls: optics.SameWalls(walls), Floor: floor,
	}
	if s := l.Sheet; s != nil {
		b.Sheet = optics.Sheet{T: s.Transmittance.X, R: s.Reflectance.X, Through: s.Clear.X, Lobe: s.Lobe, LobeFWHM: s.LobeWidth.X}
	} else {
		b.Sheet = optics.Sheet{T: 1, Through: 1}
	}
	pitch := 1 / l.Strip.LEDs
	for i := range l.Spec.Rows {
		n := len(l.RowChannels(i))
		for c := range n {
			r := optics.Row{
				Y: l.RowAt(i), X0: l.RowX(i) + pitch*(0.5+float64(c))/float64(n), Pitch: pitch,
				Count: l.Spec.Units * l.Strip.LEDsPerUnit(), Z: l.Strip.Height, BeamFWHM: l.Strip.Beam,
				Flux: 1, EmitterArea: l.Strip.Emitter,
			}
			if c == 0 {
				r.StripWidth, r.StripReflectance = l.Strip.Width, l.Strip.Reflectance.X
			}
			b.Rows = append(b.Rows, r)
		}
	}
	return b
}

// unitFor is the current–voltage law of one cut unit of a channel at the
// datasheet's temperature, with the nominal watts of the unit.
func unitFor(s part.Strip, c part.Channel) (circuit.Unit, error) {
	kind := circuit.SeriesDiode
	if s.Drive == part.ConstantCurrent {
		kind = circuit.ConstantCurrent
	}
	return circuit.FromDatasheet(circuit.Datasheet{
		VNom: s.Voltage, PowerPerM: c.BestPower().X, CutLength: s.Cut,
		Series: s.Series, Parallel: s.Strings(), Kind: kind,
	})
}

// wire is the copper of a wire; stranded wire is 3 % longer than it looks.
func wire(w part.Wire) circuit.Wire {
	c := circuit.Wire{Area: w.Area, Excess: 1}
	if w.Stranded {
		c.Excess = 1.03
	}
	return c
}

// layout is the lamp as a ladder network; the units are those at the
// datasheet's temperature, warmed by the caller.
func layout(l lamp.Lamp, units []circuit.Unit, copper float64) (circuit.Layout, error) {
	var scheme circuit.Scheme
	if err := scheme.UnmarshalText([]byte(l.Feed)); err != nil {
		return circuit.Layout{}, err
	}
	lay := circuit.Layout{
		Interleaved: l.Interleaved(),
		VOC:         l.Supply.Voltage.X, RInt: l.Supply.Resistance,
		CutLength: l.Strip.Cut, RailR: circuit.RailResistance(l.Strip.Copper, l.Strip.Rail, copper),
		Bus: wire(l.Bus), Lead: wire(l.Lead), BusK: copper, LeadK: l.Spec.Place.Air,
		LeadLength: l.LeadLength, Feed: scheme, RContact: l.Connector.Contact, JointR: l.Strip.JointR,
	}
	if l.Dimmer != nil {
		lay.RDimmer = l.Dimmer.Resistance
	}
	for range l.Spec.Rows {
		lay.RowUnits = append(lay.RowUnits, l.Spec.Units)
	}
	if l.Spec.Rows > 1 {
		lay.Pitch = []float64{l.RowPitch()}
		if !l.Even() {
			lay.Pitch = lay.Pitch[:0]
			for i := range l.Spec.Rows - 1 {
				lay.Pitch = append(lay.Pitch, l.RowGap(i))
			}
		}
	}
	for i, u := range units {
		lay.Channels = append(lay.Channels, circuit.Channel{Unit: u, Duty: l.Duty(i)})
	}
	lay.Joints = jointsInRows(l)
	return lay, nil
}

// jointsInRows places the factory joints that a row is likely to hold when
// rows are cut one after the other from the reel's start.
func jointsInRows(l lamp.Lamp) [][]int {
	if l.Strip.Joint <= 0 || l.Strip.JointR <= 0 {
		return nil
	}
	per := int(math.Round(l.Strip.Joint / l.Strip.Cut))
	if per < 1 {
		return nil
	}
	out := make([][]int, l.Spec.Rows)
	reel := l.Strip.UnitsPerReel()
	turns := len(l.Strips()) // each strip has its own reel
	at := make([]int, turns)
	for i := range out {
		pos := &at[i%turns]
		if *pos+l.Spec.Units > reel {
			*pos = 0
		}
		for k := 1; k < l.Spec.Units; k++ {
			if (*pos+k)%per == 0 {
				out[i] = append(out[i], k)
			}
		}
		*pos += l.Spec.Units
	}
	return out
}

// junctionR is the strip's, or a mid-power package's when none is given, K/W.
func junctionR(s part.Strip) float64 {
	if s.JunctionR.X > 0 {
		return s.JunctionR.X
	}
	return heat.DefaultLEDResistance
}

// plate is the lamp as a heated plate, without its heat.
func plate(l lamp.Lamp) heat.Input {
	m, _ := part.MaterialNamed(l.Tray.Material)
	p := l.Spec.Place
	// The front of the floor as the sheet sees it: strip boards (white solder
	// mask, 0.9, common practice) and between them lining or bare metal.
	gap := l.Tray.EmissivityInside.X
	if l.Lining != nil && l.Spec.LineFloor {
		gap = l.Lining.Emissivity
	}
	strip := math.Min(1, l.StripLength()*l.Strip.Width/l.FaceArea())
	in := heat.Input{
		Length: l.RunLength(), Width: l.Across(),
		Sheet:          heat.Sheet{Name: m.Name, Thickness: l.Tray.Thickness, Conductivity: m.Conductivity, Density: m.Density, SpecificHeat: m.HeatCapacity},
		Ambient:        p.Air,
		EmissivityBack: l.BackEmissivity(), EmissivityFront: strip*0.9 + (1-strip)*gap, EmissivityDiffuser: 0.9,
		Elevation:   -p.FaceTilt(),
		SlopeHeight: l.Tray.Width,
		Gap:         l.Height(), WallHeight: l.Tray.Depth,
		StripResistance: heat.DefaultStripResistance,
		LED:             heat.LED{Resistance: junctionR(l.Strip)},
	}
	if s := l.Sheet; s != nil {
		in.EmissivityDiffuser = s.Emissivity
		in.Diffuser = heat.Diffuser{Thickness: s.Thickness, Density: s.Density, SpecificHeat: 1500, Limit: s.Limit}
	}
	for i := range l.Spec.Rows {
		x0 := l.RowX(i)
		in.Rows = append(in.Rows, heat.Row{Y: l.RowAt(i), X0: x0, X1: x0 + l.RowLength(), Width: l.Strip.Width})
	}
	return in
}

// The targets of every lamp, in this order.
const (
	atMeter = iota
	atEye
	atEyeUncut
	targetCount
)

// sight gives the meter, the eye with the brow's cut and the eye without, in
// the frame of the optical box.
func sight(l lamp.Lamp) [targetCount]optics.Target {
	p := l.Spec.Place
	m := optics.Mount{Height: p.LampAboveEye, Distance: p.Ahead(), Offset: p.LampAside, Tilt: p.FaceTilt()}
	var t [targetCount]optics.Target
	t[atMeter] = optics.Target{Position: optics.Vec{Z: p.MeterDistance}, Normal: optics.Vec{Z: -1}}
	t[atEyeUncut] = m.Eye(p.Gaze)
	t[atEyeUncut].View = nil
	t[atEye] = m.Eye(p.Gaze)
	t[atEye].View = &optics.View{Up: p.Brow, Down: p.Cheek}
	if e, between := p.Monitor(); between {
		// Its edge is level, as the cheek's plane is: the higher of both counts.
		low := max(-math.Pi/2, p.Gaze-e)
		t[atEye].View.Down = min(p.Cheek, low)
		t[atEyeUncut].View = &optics.View{Up: math.Pi / 2, Down: min(math.Pi/2, low)}
	}
	if l.Spec.Along == lamp.AlongWidth {
		// Rows then run upwards: the box's x is the hung lamp's y.
		for i := range t {
			for _, v := range []*optics.Vec{&t[i].Position, &t[i].Normal, &t[i].Up} {
				v.X, v.Y = v.Y, v.X
			}
		}
	}
	return t
}
