package clock

import "fmt"

// ScheduleCase is a schedule as the reference files of format
// body-clock-cases/1 write it.
type ScheduleCase struct {
	Name    string       `json:"name"`
	Light   [][3]float64 `json:"light"` // from h, to h, lx
	Control *string      `json:"compare_with"`
}

// Pieces are the case's light.
func (c *ScheduleCase) Pieces() []Piece {
	out := make([]Piece, len(c.Light))
	for i, p := range c.Light {
		out[i] = Piece{From: p[0], To: p[1], Lux: p[2]}
	}
	return out
}

// CaseResult is one model's answer under the reference file's keys.
type CaseResult struct {
	Hourly    []State   `json:"hourly"`
	CBTmin    []float64 `json:"cbtmin_h"`
	Kind      []string  `json:"xmin_kind,omitempty"`
	DLMO      []float64 `json:"dlmo_h"`
	DLMOPhase []float64 `json:"dlmo_phase_h,omitempty"`
	Each      []float64 `json:"phase_shift_each_h,omitempty"`
	Last      *float64  `json:"phase_shift_last_h,omitempty"`
}

// Compute runs the case from the start states by model name; control is the
// case named by Control, cut to the same length, or nil.
func (c *ScheduleCase) Compute(start map[string]State, control *ScheduleCase) (map[string]CaseResult, error) {
	light := c.Pieces()
	out := map[string]CaseResult{}
	for _, m := range Models() {
		s, ok := start[m.String()]
		if !ok {
			return nil, fmt.Errorf("clock: case %q has no start state for %v", c.Name, m)
		}
		run, err := m.Simulate(s, light)
		if err != nil {
			return nil, fmt.Errorf("case %q: %w", c.Name, err)
		}
		r := CaseResult{Hourly: run.Hourly, DLMO: run.DLMO, DLMOPhase: run.DLMOPhase}
		for _, t := range run.CBTmin {
			r.CBTmin = append(r.CBTmin, t.Hour)
			if m != Hannay19 {
				r.Kind = append(r.Kind, t.Kind)
			}
		}
		if control != nil {
			other, err := m.Simulate(s, cut(control.Pieces(), light[len(light)-1].To))
			if err != nil {
				return nil, fmt.Errorf("control %q: %w", control.Name, err)
			}
			r.Each = Shifts(run, other)
			if n := len(r.Each); n > 0 {
				r.Last = &r.Each[n-1]
			}
		}
		out[m.String()] = r
	}
	return out, nil
}

// cut ends a schedule at an hour.
func cut(light []Piece, end float64) []Piece {
	var out []Piece
	for _, p := range light {
		if p.From >= end {
			break
		}
		p.To = min(p.To, end)
		out = append(out, p)
	}
	return out
}
