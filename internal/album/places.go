package album

import (
	"math"
	"strconv"

	"dawnsmith/internal/app"
	"dawnsmith/internal/report"
	"dawnsmith/lamp/predict"
)

func sideRegion(a *app.Answer) (Table, error) {
	u, err := a.Result.UsableHeights(report.Target(a), report.Farthest)
	return regionData(u, err, "lowest_eye_m", "highest_eye_m")
}

func topRegion(a *app.Answer) (Table, error) {
	u, err := a.Result.UsableSides(report.Target(a), report.Farthest)
	return regionData(u, err, "left_m", "right_m")
}

func regionData(u predict.Reach, err error, from, to string) (Table, error) {
	if err != nil {
		return Table{}, ErrNone
	}
	t := Table{Head: []string{"ahead_m", from, to}}
	for i, x := range u.Ahead {
		if !math.IsNaN(u.From[i]) {
			t.Rows = append(t.Rows, nums(x, u.From[i], u.To[i]))
		}
	}
	return t, nil
}

func voltData(a *app.Answer) (Table, error) {
	c := a.Result.Circuit
	if c == nil {
		return Table{}, ErrNone
	}
	t := Table{Head: []string{"row", "unit", "volts", "milliamps"}}
	for i, r := range c.Rows {
		for k, v := range r.First.V {
			t.Rows = append(t.Rows, append([]string{strconv.Itoa(i + 1), strconv.Itoa(k + 1)}, nums(v, 1000*r.First.I[k])...))
		}
	}
	return t, nil
}

func waveData(a *app.Answer) (Table, error) {
	w, r, _, ok := report.Pulses(&a.Result)
	if !ok {
		return Table{}, ErrNone
	}
	t := Table{Head: []string{"time_s", "light_over_mean"}}
	n := min(len(w.Samples), int(4/(r.Fundamental*w.Dt))+1)
	for k, x := range w.Samples[:n] {
		t.Rows = append(t.Rows, nums(float64(k)*w.Dt, x/r.Mean))
	}
	return t, nil
}

func lineData(a *app.Answer) (Table, error) {
	_, r, _, ok := report.Pulses(&a.Result)
	if !ok {
		return Table{}, ErrNone
	}
	t := Table{Head: []string{"frequency_hz", "amplitude_over_mean"}}
	for _, l := range r.Lines {
		t.Rows = append(t.Rows, nums(l.Frequency, l.Amplitude))
	}
	return t, nil
}
