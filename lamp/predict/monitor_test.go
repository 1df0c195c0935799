package predict

import (
	"math"
	"testing"

	"dawnsmith/finding"
	"dawnsmith/lamp/brief"
)

// A monitor takes the part of the face below the line over its edge: nothing
// when low, nothing when the lamp hangs before it, all when high, more the
// higher; what the finding says to raise the lamp by clears it.
func TestMonitor(t *testing.T) {
	s := testSpec()
	s.Place.EyeDistance, s.Place.LampAboveEye = 0.8, 0.25
	with := func(distance, edge, up float64) Result {
		q := s
		q.Place.MonitorDistance, q.Place.MonitorEdge = distance, edge
		if up != 0 {
			ahead := q.Place.WithDefaults().Ahead()
			q.Place.Fixed, q.Place.Tilt = true, s.Place.WithDefaults().FaceTilt()
			q.Place.LampAboveEye += up
			q.Place.EyeDistance = math.Hypot(ahead, q.Place.LampAboveEye)
		}
		return work(t, q)
	}
	free := work(t, s)
	for what, r := range map[string]Result{"low": with(0.5, -0.2, 0), "behind the lamp": with(0.79, 0.4, 0)} {
		if r.Numbers[EyeLux] != free.Numbers[EyeLux] || r.Numbers[EyeLuxUncut] != free.Numbers[EyeLuxUncut] || finding.Has(r.Findings, "place.monitor") {
			t.Errorf("a monitor %s: %v lx, without %v lx", what, r.Numbers[EyeLux], free.Numbers[EyeLux])
		}
	}
	last := free.Numbers[EyeLux]
	for _, edge := range []float64{0.08, 0.12, 0.16, 0.2, 0.24} {
		r := with(0.5, edge, 0)
		e := r.Numbers[EyeLux]
		if !(e < last) || !finding.Has(r.Findings, "place.monitor") {
			t.Errorf("edge at %v m: %v lx, lower %v lx; %v", edge, e, last, r.Findings)
		}
		if uncut := r.Numbers[EyeLuxUncut]; uncut < e {
			t.Errorf("edge at %v m: %v lx with the brow, %v without", edge, e, uncut)
		}
		last = e
	}
	// The line over the edge meets the face's middle.
	half := with(0.5, 0.5*math.Tan(free.Lamp.Spec.Place.Elevation()), 0)
	if share, _ := monitorHides(half.Lamp); math.Abs(share-0.5) > 1e-9 {
		t.Errorf("the line over the edge meets the face's middle and %v of it is hidden", share)
	}
	if x := half.Numbers[EyeLux] / free.Numbers[EyeLux]; x < 0.35 || x > 0.5 {
		t.Errorf("the upper half, further from the line of sight, gives %v of the light", x)
	}
	hidden := with(0.5, 0.3, 0)
	if hidden.Numbers[EyeLux] != 0 || hidden.Numbers[EyeMelanopic] != 0 {
		t.Errorf("a face wholly behind the monitor gives %v lx", hidden.Numbers[EyeLux])
	}
	for k, v := range hidden.Numbers {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			t.Errorf("%s is %v", k, v)
		}
	}
	// Raised as told, the face is free.
	_, raise := monitorHides(half.Lamp)
	if up := with(0.5, half.Lamp.Spec.Place.MonitorEdge, raise+1e-6); finding.Has(up.Findings, "place.monitor") {
		t.Errorf("raised by %v m and still hidden: %v", raise, up.Findings)
	}
	// An eye that moves finds the monitor where it stood.
	p := half.Lamp.Spec.Place
	want := s
	want.Place = p.Moved(p.Ahead()+0.2, 0.1, 0)
	e, err := half.EyeElsewhere(p.Ahead()+0.2, 0.1, 0)
	if err != nil || math.Abs(e/work(t, want).Numbers[EyeLux]-1) > 1e-6 {
		t.Errorf("eye elsewhere: %v lx, its own place %v lx: %v", e, work(t, want).Numbers[EyeLux], err)
	}
	if math.Abs(want.Place.MonitorDistance-p.MonitorDistance-0.2) > 1e-12 || math.Abs(want.Place.MonitorEdge-(p.MonitorEdge-0.1)) > 1e-12 {
		t.Errorf("the monitor moved: %+v", want.Place)
	}
}

func TestMonitorRefuses(t *testing.T) {
	for _, p := range []brief.Place{{MonitorDistance: 0.05}, {MonitorDistance: 6}, {MonitorEdge: 0.1}, {MonitorDistance: 0.5, MonitorEdge: 3}, {MonitorDistance: math.NaN()}} {
		if err := p.WithDefaults().Check(); err == nil {
			t.Errorf("%+v taken", p)
		}
	}
}
