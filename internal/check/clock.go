package check

import (
	"encoding/json"
	"fmt"

	"dawnsmith/day/clock"
)

type clockResults struct {
	Hourly [][3]float64 `json:"hourly"`
	CBTmin []float64    `json:"cbtmin_h"`
	Kind   []string     `json:"xmin_kind,omitempty"`
	Phase  []float64    `json:"dlmo_phase_h,omitempty"`
	DLMO   []float64    `json:"dlmo_h"`
	Last   *float64     `json:"phase_shift_last_h,omitempty"`
	Each   []float64    `json:"phase_shift_each_h,omitempty"`
}

// schedule is a light schedule: pieces of start h, end h, lux.
type schedule struct {
	Light   [][3]float64 `json:"light"`
	Compare string       `json:"compare_with"`
}

func (s *schedule) pieces() []clock.Piece {
	var out []clock.Piece
	for _, p := range s.Light {
		out = append(out, clock.Piece{From: p[0], To: p[1], Lux: p[2]})
	}
	return out
}

func clocks(src *source) ([]entry, error) {
	// The states that schedules begin in are inputs of the whole file.
	starts := map[string]struct {
		Start clock.State `json:"start"`
	}{}
	if raw := src.get("models"); raw != nil {
		if err := into(raw, &starts); err != nil {
			return nil, fmt.Errorf("models: %w", err)
		}
	}
	named := map[string]schedule{}
	raws, err := src.list("schedules")
	if err != nil {
		return nil, err
	}
	for _, raw := range raws {
		var o struct {
			Name string
			schedule
		}
		if into(raw, &o) == nil {
			named[o.Name] = o.schedule
		}
	}
	rules := []rule{
		within("*/hourly/*/*", 1e-6), within("*/cbtmin_h/*", 1e-4), equal("*/xmin_kind/*"),
		within("*/dlmo_h/*", 1e-4), within("*/dlmo_phase_h/*", 1e-4),
		within("*/phase_shift_last_h", 2e-4), within("*/phase_shift_each_h/*", 2e-4), // differences of two such times
	}
	return src.entries("schedules", "results", rules, func(raw json.RawMessage) (any, error) {
		var s schedule
		if err := into(raw, &s); err != nil {
			return nil, err
		}
		out := map[string]clockResults{}
		for _, m := range clock.Models() {
			start, ok := starts[m.String()]
			if !ok {
				return nil, fmt.Errorf("models.%s.start is missing: the state the schedule begins in", m)
			}
			r, err := runClock(m, start.Start, s, named)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", m, err)
			}
			out[m.String()] = r
		}
		return out, nil
	})
}

func runClock(m clock.Model, start clock.State, s schedule, named map[string]schedule) (clockResults, error) {
	run, err := m.Simulate(start, s.pieces())
	if err != nil {
		return clockResults{}, err
	}
	r := clockResults{DLMO: run.DLMO, Phase: run.DLMOPhase}
	for _, h := range run.Hourly {
		r.Hourly = append(r.Hourly, h)
	}
	for _, c := range run.CBTmin {
		r.CBTmin = append(r.CBTmin, c.Hour)
		if m != clock.Hannay19 {
			r.Kind = append(r.Kind, c.Kind)
		}
	}
	if s.Compare == "" {
		return r, nil
	}
	control, ok := named[s.Compare]
	if !ok {
		return r, fmt.Errorf("compare_with names %.60q, which is no schedule of this file", s.Compare)
	}
	// The control goes on no longer than the case.
	if len(s.Light) == 0 {
		return r, fmt.Errorf("light is missing")
	}
	end := s.Light[len(s.Light)-1][1]
	var light []clock.Piece
	for _, p := range control.pieces() {
		if p.From < end {
			p.To = min(p.To, end)
			light = append(light, p)
		}
	}
	other, err := m.Simulate(start, light)
	if err != nil {
		return r, fmt.Errorf("control %s: %w", s.Compare, err)
	}
	r.Each = clock.Shifts(run, other)
	if n := len(r.Each); n > 0 {
		r.Last = &r.Each[n-1]
	}
	return r, nil
}
