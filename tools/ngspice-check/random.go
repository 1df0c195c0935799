package main

import (
	"math"
	"math/rand/v2"

	"dawnsmith/lamp/circuit"
)

// randomNetwork is a lamp of random size, strip, wire and feed, often with
// something the matter: a broken wire, a reversed row, a bad joint, a cross
// lead, a second feed, rows of another strip.
func randomNetwork(r *rand.Rand) *circuit.Network {
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	chance := func(p float64) bool { return r.Float64() < p }
	rows := 1 + r.IntN(8)
	volts := []float64{12, 24}[r.IntN(2)]
	l := circuit.Layout{
		VOC: volts * between(0.9, 1.05), RInt: between(0.01, 0.2),
		Pitch: []float64{between(0.01, 0.1)}, CutLength: 0.05,
		RailR: between(0.02, 0.3), Channels: []circuit.Channel{{Unit: randomUnit(r, volts)}},
		JointR: between(0.002, 0.2), Feed: circuit.Scheme(r.IntN(7)),
		Bus: circuit.AWG(18 + 8*r.Float64()), Lead: circuit.AWG(16 + 6*r.Float64()), LeadLength: between(0.2, 3),
		RContact: between(0.001, 0.02), RTap: between(0.0005, 0.01),
	}
	for range rows {
		l.RowUnits = append(l.RowUnits, 1+r.IntN(14))
		l.Joints = append(l.Joints, nil)
	}
	if chance(0.3) {
		l.Channels = append(l.Channels, circuit.Channel{Unit: randomUnit(r, volts)})
		l.Interleaved = rows > 1 && l.Feed != circuit.FeedSerpentine && chance(0.5)
	}
	if l.RowUnits[0] > 2 {
		l.Joints[0] = []int{1 + r.IntN(l.RowUnits[0]-1)}
	}
	n, err := l.Network()
	if err != nil {
		panic(err) // the generator's own mistake
	}
	row := r.IntN(rows)
	if chance(0.2) {
		n.Rows[row].Reversed = true
	}
	if chance(0.2) {
		n.Rows[row].Breaks = []circuit.Break{{Unit: r.IntN(len(n.Rows[row].Units)), Rail: r.IntN(2)}}
	}
	if chance(0.3) {
		u := randomUnit(r, volts)
		for k := range n.Rows[r.IntN(rows)].Units {
			n.Rows[row].Units[k%len(n.Rows[row].Units)] = u
		}
	}
	if len(n.Buses) > 0 {
		bus := r.IntN(len(n.Buses))
		if segs := n.Buses[bus].RSeg; len(segs) > 0 && chance(0.2) {
			segs[r.IntN(len(segs))] = math.Inf(1)
		}
		if chance(0.2) {
			n.Feeds = append(n.Feeds, circuit.Feed{
				PosAt: circuit.BusNode(0, rows-1), NegAt: circuit.BusNode(1, rows-1),
				RPos: between(0.01, 0.1), RNeg: between(0.01, 0.1),
			})
		}
		if len(n.Rows[row].Taps) > 0 && chance(0.2) {
			n.Rows[row].Taps[0].R = 0
		}
	}
	if rows > 1 && chance(0.2) {
		n.Jumpers = append(n.Jumpers, circuit.Jumper{
			A: circuit.PadNode(0, circuit.RightPlus), B: circuit.PadNode(rows-1, circuit.RightPlus), R: between(0, 0.05),
		})
	}
	return n
}

func randomUnit(r *rand.Rand, volts float64) circuit.Unit {
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	series := int(math.Round(volts / 4))
	switch r.IntN(3) {
	case 0:
		return circuit.Unit{Kind: circuit.PiecewiseLinear, VNom: volts, V0: volts * between(0.6, 0.8), R: between(60, 400)}
	case 1:
		return circuit.Unit{
			Kind: circuit.SeriesDiode, VNom: volts, Series: series, IS: math.Pow(10, between(-21, -19)),
			Ideality: between(2, 3), RS: between(0.5, 4), RBallast: between(30, 300), Vt: spiceVt,
		}
	}
	return circuit.Unit{
		Kind: circuit.ConstantCurrent, VNom: volts, V0: volts * between(0.6, 0.8), ROn: between(20, 100),
		ISet: between(0.01, 0.06), Slope: between(0, 0.004), P: 8,
	}
}
