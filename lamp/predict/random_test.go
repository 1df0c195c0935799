package predict

import (
	"math"
	"math/rand/v2"
	"slices"

	"dawnsmith/lamp"
	"dawnsmith/lamp/brief"
	"dawnsmith/lamp/part"
)

// randomSpec draws a lamp that can be built.
func randomSpec(r *rand.Rand, set part.Set) lamp.Spec {
	pick := func(n int) int { return r.IntN(n) }
	s := lamp.Spec{Schema: 1, Name: "random", Tray: set.Trays[pick(len(set.Trays))].ID, Strip: set.Strips[pick(len(set.Strips))].ID,
		Sheet: set.Sheets[pick(len(set.Sheets))].ID, Rows: 1 + pick(14), Supply: "dc24", Bus: "awg18", Lead: "awg18", Connector: "block",
		LeadLength: 0.2 + 4*r.Float64(), Place: brief.Place{MeterDistance: 0.1 + r.Float64(), EyeDistance: 0.3 + r.Float64(), Gaze: r.Float64() - 0.5}}
	s.Place.LampAboveEye = s.Place.EyeDistance * (r.Float64()*1.6 - 0.7)
	if r.IntN(2) == 0 {
		s.Along = lamp.AlongWidth
	}
	if r.IntN(3) == 0 {
		s.Place.MonitorDistance, s.Place.MonitorEdge = 0.1+r.Float64(), r.Float64()-0.5
	}
	switch r.IntN(3) {
	case 0:
		s.Lining = "foil"
	case 1:
		s.Lining, s.LineFloor = "white", true
	}
	if r.IntN(3) == 0 {
		s.Paint = "paint"
	}
	if s.Strip == "two" {
		s.Drive = map[string]float64{"warm": r.Float64(), "cool": r.Float64()}
	}
	s.Staggered = r.IntN(4) == 0
	if r.IntN(4) == 0 {
		s.SecondSheet = set.Sheets[pick(len(set.Sheets))].ID
	}
	second := func(id string) part.Strip {
		i := slices.IndexFunc(set.Strips, func(p part.Strip) bool { return p.ID == id })
		return set.Strips[i]
	}
	if apart := second("warm").Channels[0].CCT.X - second("strip").Channels[0].CCT.X; s.Strip == "strip" && s.Rows > 1 && math.Abs(apart) >= 200 && r.IntN(2) == 0 {
		s.Second = "warm"
		s.Drive = map[string]float64{"warm": r.Float64(), "cool": r.Float64()}
	}
	s.Feed = []string{"first-row", "middle-row", "reverse-return", "opposite-ends", "opposite-ends-reverse", "both-ends"}[pick(6)]
	return s
}

// randomSet varies every continuous field within what Check allows.
func randomSet(r *rand.Rand) part.Set {
	set := testSet()
	for i := range set.Trays {
		t := &set.Trays[i]
		t.Width = 0.08 + 0.4*r.Float64()
		t.Length = t.Width + 0.4*r.Float64()
		t.Depth = 0.012 + 0.09*r.Float64()
		t.Thickness = 0.0004 + 0.002*r.Float64()
		t.Reflectance.X, t.Specular.X = 0.3+0.6*r.Float64(), r.Float64()
		t.EmissivityBack.X = 0.05 + 0.9*r.Float64()
		t.Material = part.MaterialNames()[r.IntN(len(part.MaterialNames()))]
	}
	for i := range set.Strips {
		s := &set.Strips[i]
		for j := range s.Channels {
			c := &s.Channels[j]
			c.Power.X = 2 + 18*r.Float64()
			c.Flux.X = c.Power.X * (60 + 100*r.Float64())
			c.Ra = 72 + 24*r.Float64()
			c.CCT.X = 2200 + 5000*r.Float64()
		}
	}
	for i := range set.Sheets {
		s := &set.Sheets[i]
		s.Transmittance.X = 0.2 + 0.7*r.Float64()
		s.Reflectance.X = (1 - s.Transmittance.X) * r.Float64()
		if s.Lobe > 0 {
			s.LobeWidth.X = (8 + 110*r.Float64()) * math.Pi / 180
		}
	}
	return set
}
