package measure

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"dawnsmith/finding"
	"dawnsmith/lamp/predict"
	"dawnsmith/light/flicker"
	"dawnsmith/metric"
	"dawnsmith/quantity"
)

// Declared finds the declaration of any measure a run may hold; false when
// there is none.
func Declared(key string) (metric.Metric, bool) {
	for _, list := range [][]metric.Metric{Metrics(), flicker.Metrics()} {
		if i := slices.IndexFunc(list, func(m metric.Metric) bool { return m.Key == key }); i >= 0 {
			return list[i], true
		}
	}
	return predict.Declared(key)
}

// Evaluate makes a run's numbers. The run is not changed. The error is an
// *InputError, or one that wraps what a measure says of a spectrum it cannot
// take; what merely weakens a number is a finding.
func (r Run) Evaluate() (Record, error) {
	rec := Record{Run: r.ID, Kind: r.Kind, Subject: r.Subject, Instrument: r.Instrument.ID}
	if r.ID == "" {
		return rec, bad("id", "empty", "a name for the run", "its errors are named after it")
	}
	if r.Subject.Lamp == "" {
		return rec, bad("subject.lamp", "empty", "the id of what was measured", "")
	}
	if err := r.Instrument.Check(); err != nil {
		return rec, err
	}
	if err := r.Conditions.Check(); err != nil {
		return rec, err
	}
	i, said := r.Instrument.WithDefaults()
	rec.Assumed = said
	rec.Calibration = i.Calibration
	rec.Conditions = r.Conditions.withDefaults()
	if r.Conditions.DistanceHalf == 0 && r.Conditions.Distance > 0 {
		rec.Assumed = append(rec.Assumed, "distance assumed good to ± 3 mm")
	}
	rec.Findings = r.Instrument.Findings()
	var err error
	switch r.Kind {
	case LuxRun:
		err = rec.evaluateLux(r, i)
	case DistanceRun:
		err = rec.evaluateDistances(r, i)
	case SpectrumRun, SpectraRun:
		err = rec.evaluateSpectra(r, i)
	case WaveformRun:
		err = rec.evaluateWaveform(r)
	case LogRun:
		err = rec.evaluateLog(r, i)
	case HandRun, SheetRun:
		err = rec.evaluateHand(r, i)
	case FaceRun:
		err = rec.evaluateFace(r)
	default:
		var names []string
		for _, k := range RunKinds() {
			names = append(names, string(k))
		}
		err = bad("kind", fmt.Sprintf("%q", r.Kind), "one of "+strings.Join(names, ", "), "")
	}
	if err != nil {
		return rec, err
	}
	rec.Findings = append(rec.Findings, warmUpFindings(rec, r)...)
	finding.Sort(rec.Findings)
	for _, m := range rec.Values {
		if !m.Value.Finite() {
			return rec, bad(m.Key, fmt.Sprintf("%g", m.Value.X), "a number that can be computed", "check the readings")
		}
	}
	return rec, nil
}

// warmUpFindings tell that a light was read cold.
func warmUpFindings(rec Record, r Run) []finding.Finding {
	if rec.Stability != nil || !slices.Contains([]Kind{LuxRun, SpectrumRun, DistanceRun}, r.Kind) {
		return nil
	}
	w := r.Conditions.WarmUp
	if w >= 1800 {
		return nil
	}
	what := fmt.Sprintf("the lamp had burnt for %.0f min; 30 min is the least", w/60)
	if w < 0 {
		what = "it is not noted how long the lamp had burnt; 30 min is the least"
	}
	return []finding.Finding{{
		Severity: finding.Warn, Key: "measure.cold", What: what,
		Cause:  "LEDs lose light while they warm; cold readings flatter",
		Mend:   "let the lamp burn for half an hour, or log until it settles",
		Source: CIES025.Source,
	}}
}

// ofInstrument is the budget of a plain reading x, in the metric's unit.
func ofInstrument(i Instrument, run string, key string, x float64) Budget {
	b := Budget{X: x}
	if i.Calibration.U > 0 {
		b.Parts = append(b.Parts, Stated(i.Source("calibration"), fmt.Sprintf("± %.3g %%", 100*i.Calibration.U), i.Calibration.U, i.Calibration.K, x))
	}
	rel := func(what string, half float64) {
		if half > 0 {
			b.Parts = append(b.Parts, Rectangular(i.Source(what), fmt.Sprintf("± %.2g %%", 100*half), half, x))
		}
	}
	rel("linearity", i.Linearity)
	rel("drift since calibration", i.Drift)
	if i.Offset > 0 {
		b.Parts = append(b.Parts, Rectangular(i.Source("zero"), fmt.Sprintf("± %.3g", i.Offset), i.Offset, 1))
	}
	if i.Resolution > 0 {
		b.Parts = append(b.Parts, Rectangular(run+" resolution of "+key, fmt.Sprintf("last digit %.3g", i.Resolution), i.Resolution/2, 1))
	}
	return b
}

func (r *Record) evaluateHand(run Run, own Instrument) error {
	if len(run.Hand) == 0 {
		return bad("hand", "no readings", "one or more", "")
	}
	for k, h := range run.Hand {
		field := fmt.Sprintf("hand[%d]", k)
		if _, ok := Declared(h.Key); !ok {
			return bad(field+".key", fmt.Sprintf("%q", h.Key), "the key of a measure", "see the list of measures")
		}
		if strange(h.X) || strange(h.U) || h.U < 0 {
			return bad(field, fmt.Sprintf("%g ± %g", h.X, h.U), "ordinary numbers, the uncertainty 0 or more", "")
		}
		if _, dup := r.Value(h.Key); dup {
			return bad(field+".key", fmt.Sprintf("%q a second time", h.Key), "each measure once in a run", "make a second run of it")
		}
		i := own
		if h.Instrument != nil {
			if err := h.Instrument.Check(); err != nil {
				return fmt.Errorf("%s: %w", field, err)
			}
			var said []string
			i, said = h.Instrument.WithDefaults()
			r.Assumed = append(r.Assumed, said...)
			r.Findings = append(r.Findings, h.Instrument.Findings()...)
		}
		light := h.Key == predict.MeterLux || h.Key == predict.EyeLuxUncut || h.Key == HorizontalE || h.Key == OffAxisE || h.Key == predict.EyeLux
		c := r.Conditions
		if h.Distance > 0 {
			c.Distance = h.Distance
		}
		var b Budget
		switch {
		case h.U > 0:
			b = Budget{X: h.X, Parts: []Contributor{{Source: run.ID + " " + h.Key, What: "stated with the reading", U: h.U, Slope: 1}}}
		case light:
			_, half, _, err := i.correction(nil)
			if err != nil {
				return err
			}
			b = Budget{X: h.X, Parts: common(i, c, run.Subject, run.ID, h.X, half)}
			b.Parts = append(b.Parts, Contributor{Source: run.ID + " scatter of " + h.Key, What: "one reading; 0.3 % assumed from experience", U: 0.003 * math.Abs(h.X), Slope: 1})
			r.Findings = append(r.Findings, distanceFindings(c)...)
		default:
			b = ofInstrument(i, run.ID, h.Key, h.X)
		}
		how := "read by hand"
		if h.Note != "" {
			how += ": " + h.Note
		}
		m := b.measured(h.Key, how, run.ID)
		if light {
			m.Distance = c.Distance
		}
		if h.OverRange || i.High > 0 && h.X >= i.High {
			m.Bound, m.Value, m.Freedom = AtLeast, quantity.Exact(h.X), nil
			r.Findings = append(r.Findings, overRange(i))
		}
		if r.Budget == nil {
			r.Budget = &b
		}
		r.Values = append(r.Values, m)
	}
	if run.Kind == SheetRun {
		r.sheetFindings()
	}
	return nil
}

// Expected lists what the sheet filled in at first power asks for.
func Expected() []string {
	return []string{SupplyVolts, LampCurrent, predict.MainsPower, predict.StripTemp, predict.BackTemp, predict.MeterLux, RoomTemp}
}

func (r *Record) sheetFindings() {
	var missing []string
	for _, key := range Expected() {
		if _, ok := r.Value(key); !ok {
			d, _ := Declared(key)
			missing = append(missing, d.Name)
		}
	}
	if len(missing) > 0 {
		r.Findings = append(r.Findings, finding.Finding{
			Severity: finding.Note, Key: "measure.sheet_gaps",
			What:   "the first-power sheet lacks " + strings.Join(missing, ", "),
			Cause:  "what was not read cannot be compared with the prediction",
			Mend:   "read them after half an hour of burning",
			Source: "common practice, no source",
		})
	}
}

func (r *Record) evaluateLog(run Run, own Instrument) error {
	log := run.Log
	if log == nil || len(log.Columns) == 0 {
		return bad("log", "no columns", "one or more", "")
	}
	rule := Rules()[0]
	for k, col := range log.Columns {
		field := fmt.Sprintf("log.columns[%d]", k)
		if _, ok := Declared(col.Key); !ok {
			return bad(field+".key", fmt.Sprintf("%q", col.Key), "the key of a measure", "see the list of measures")
		}
		if err := checkLog(log.Times, col.X); err != nil {
			return fmt.Errorf("%s: %w", field, err)
		}
		i := own
		if col.Instrument != nil {
			if err := col.Instrument.Check(); err != nil {
				return fmt.Errorf("%s: %w", field, err)
			}
			i, _ = col.Instrument.WithDefaults()
		}
		// The last window of the rule is what the log ends at.
		end := log.Times[len(log.Times)-1]
		from := 0
		for from < len(log.Times)-2 && log.Times[from] < end-rule.Window {
			from++
		}
		a, err := AverageOf(log.Times[from:], col.X[from:])
		if err != nil {
			return err
		}
		b := ofInstrument(i, run.ID, col.Key, a.Mean)
		b.Parts = append(b.Parts, Contributor{Source: run.ID + " scatter of " + col.Key, What: fmt.Sprintf("%d readings worth %.0f independent ones", a.N, a.Effective), U: a.U, Slope: 1, Freedom: a.Freedom})
		if d := math.Abs(a.Slope) * a.Span / 2; d > 0 {
			b.Parts = append(b.Parts, Rectangular(run.ID+" drift of "+col.Key, "half the drift over the part averaged", d, 1))
		}
		how := fmt.Sprintf("mean of the last %.0f min of a log of %.0f min", a.Span/60, (end-log.Times[0])/60)
		for _, s := range a.Says("") {
			how += "; " + s
		}
		r.Values = append(r.Values, b.measured(col.Key, how, run.ID))
		if r.Budget == nil {
			r.Budget = &b
		}
		if math.Abs(a.Slope) > 3*a.SlopeU && math.Abs(a.Slope*a.Span) > 0.01*math.Abs(a.Mean) {
			d, _ := Declared(col.Key)
			r.Findings = append(r.Findings, finding.Finding{
				Severity: finding.Note, Key: "measure.still_drifting",
				What:   fmt.Sprintf("%s still moved by %.2g %s in the last %.0f min", d.Name, a.Slope*a.Span, d.Unit, a.Span/60),
				Cause:  "the lamp had not settled",
				Mend:   "log longer",
				Source: "common practice, no source",
			})
		}
	}
	return nil
}

func (r *Record) evaluateWaveform(run Run) error {
	if run.Waveform == nil {
		return bad("waveform", "none", "samples of light against time", "")
	}
	f, err := flicker.Measure(*run.Waveform)
	if err != nil {
		return fmt.Errorf("waveform of run %s: %w", run.ID, err)
	}
	r.Findings = append(r.Findings, f.Findings...)
	f.Each(func(key string, x float64) {
		u := 0.02 * math.Abs(x)
		what := "linearity of the sensor, 2 % (engineering estimate)"
		if key == "flicker_hz" {
			u, what = f.FundamentalSpan/2/math.Sqrt(3), "length of the record"
		}
		b := Budget{X: x, Parts: []Contributor{{Source: run.ID + " sensor, " + key, What: what, U: u, Slope: 1}}}
		r.Values = append(r.Values, b.measured(key, fmt.Sprintf("from %.3g s at %.0f samples a second", run.Waveform.Duration(), run.Waveform.Rate()), run.ID))
	})
	return nil
}

func (r *Record) evaluateFace(run Run) error {
	if run.Face == nil {
		return bad("face", "none", "mean and maximum of a photograph", "")
	}
	ratio, even, fs, err := run.Face.HotSpot(run.ID)
	if err != nil {
		return err
	}
	r.Findings = append(r.Findings, fs...)
	how := "photograph of the face"
	m := Measured{Key: HotSpotRatio, Value: ratio, How: how, Run: run.ID}
	if len(fs) > 0 {
		m.Bound = AtLeast
		m.Value = quantity.Exact(ratio.X)
	}
	r.Values = append(r.Values, m)
	if even.X > 0 {
		r.Values = append(r.Values, Measured{Key: "face_min_over_mean", Value: even, How: how, Run: run.ID})
	}
	return nil
}
