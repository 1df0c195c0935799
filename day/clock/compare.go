package clock

import (
	"fmt"
	"math"
	"slices"

	"dawnsmith/finding"
)

// Shifts tells how much earlier (positive, h) each least temperature of a case
// comes than in the control, counted from the last of both; as many as the
// shorter run has, in order of time.
func Shifts(c, control Run) []float64 {
	n := min(len(c.CBTmin), len(control.CBTmin))
	out := make([]float64, n)
	a, b := c.CBTmin[len(c.CBTmin)-n:], control.CBTmin[len(control.CBTmin)-n:]
	for i := range out {
		out[i] = b[i].Hour - a[i].Hour
	}
	return out
}

// Outcome is one model's answer.
type Outcome struct {
	Model  Model
	Shift  float64 // h, of the last least temperature; positive is earlier
	CBTmin float64 // h, the last
	DLMO   float64 // h, CBTmin - 7 h
	Habit  State   // entrained, at the schedule's start
	Run    Run
}

// Comparison is several models side by side.
type Comparison struct {
	Outcomes []Outcome
	Least    float64 // h, smallest shift
	Most     float64 // h, greatest shift
	Spread   float64 // h, Most - Least
	Findings []finding.Finding
}

// Compare entrains each model to a habit (a day of 24 h that begins at the
// hour of the clock at which the schedule begins), runs the schedule, and
// holds it against going on with the habit. At least two models; none named
// means all. The schedule lasts at least two days.
func Compare(habit, light []Piece, models ...Model) (Comparison, error) {
	if len(models) == 0 {
		models = Models()
	}
	if len(models) < 2 {
		return Comparison{}, fmt.Errorf("clock: one model alone is not shown, allowed is two or more: they differ by an hour and more")
	}
	if err := checkLight(light); err != nil {
		return Comparison{}, err
	}
	start := light[0].From
	hours := light[len(light)-1].To - start
	if hours < 48 {
		return Comparison{}, fmt.Errorf("clock: the schedule lasts %g h, allowed is 48 h or more", hours)
	}
	out := Comparison{Least: math.Inf(1), Most: math.Inf(-1)}
	for _, m := range models {
		s, _, err := m.Entrain(habit)
		if err != nil {
			return Comparison{}, err
		}
		c, err := m.Simulate(s, light)
		if err != nil {
			return Comparison{}, err
		}
		control, err := m.Simulate(s, repeat(habit, start, hours))
		if err != nil {
			return Comparison{}, err
		}
		shifts := Shifts(c, control)
		if len(shifts) == 0 {
			return Comparison{}, fmt.Errorf("clock: %v finds no least temperature in the schedule", m)
		}
		last := c.CBTmin[len(c.CBTmin)-1]
		o := Outcome{Model: m, Shift: shifts[len(shifts)-1], CBTmin: last.Hour, DLMO: last.Hour - DLMOBefore, Habit: s, Run: c}
		// The two runs may hold a different number of minima at the very end.
		o.Shift = math.Remainder(o.Shift, 24)
		out.Outcomes = append(out.Outcomes, o)
		out.Least, out.Most = min(out.Least, o.Shift), max(out.Most, o.Shift)
	}
	out.Spread = out.Most - out.Least
	out.Findings = out.review()
	return out, nil
}

func (c *Comparison) review() []finding.Finding {
	fs := []finding.Finding{{Severity: finding.Note, Key: "clock.caution", What: Caution, Source: "the models' papers"}}
	if c.Least < -0.05 && c.Most > 0.05 {
		fs = append(fs, finding.Finding{
			Severity: finding.Warn, Key: "clock.models_disagree",
			What:   fmt.Sprintf("the models do not agree which way the clock moves: from %.1f h later to %.1f h earlier", -c.Least, c.Most),
			Cause:  "they weigh long dim light and short bright light differently",
			Mend:   "rest no decision on this; keep light bright in the morning and low in the evening, on which they agree",
			Source: "this comparison",
		})
	} else if c.Spread > 1 {
		fs = append(fs, finding.Finding{
			Severity: finding.Note, Key: "clock.models_spread",
			What:   fmt.Sprintf("the models differ by %.1f h", c.Spread),
			Cause:  "they weigh long dim light and short bright light differently",
			Source: "this comparison",
		})
	}
	for _, o := range c.Outcomes {
		if slices.ContainsFunc(o.Run.CBTmin, func(m Minimum) bool { return m.Rival }) {
			fs = append(fs, finding.Finding{
				Severity: finding.Note, Key: "clock.two_minima",
				What:   fmt.Sprintf("%v has two minima close together on some day; the time of the least temperature may jump by up to an hour between nearly equal schedules", o.Model),
				Cause:  "light changes while the temperature is near its lowest",
				Mend:   "look at the phase angle instead",
				Source: o.Model.Source(),
			})
		}
	}
	return fs
}
