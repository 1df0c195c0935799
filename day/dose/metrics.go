package dose

import "dawnsmith/metric"

// Metrics declares the measures of a [Session].
func Metrics() []metric.Metric {
	return []metric.Metric{
		{Key: "minutes_photopic", Name: "session by illuminance", Symbol: "t", Unit: "min", Better: metric.Down, Line: "minutes by the linear rule between tested protocols, 2 500 to 10 000 lx", Source: trialSource},
		{Key: "minutes_melanopic", Name: "session by melanopic part", Symbol: "t_mel", Unit: "min", Better: metric.Down, Line: "minutes if the melanopic part is what counts; not proved by a trial", Source: "CIE S 026; " + trialSource},
		{Key: "dose_lx_h", Name: "exposure of the session", Symbol: "H", Unit: "lx·h", Better: metric.Neither, Line: "illuminance at the eye times the session's length", Source: "CIE S 017 (luminous exposure)"},
		{Key: "dose_mel_lx_h", Name: "melanopic exposure of the session", Symbol: "H_mel", Unit: "lx·h", Better: metric.Neither, Line: "melanopic equivalent daylight illuminance times the session's length", Source: "CIE S 026"},
	}
}

// Values gives the measures by key; those that no protocol covers are absent.
func (s *Session) Values() map[string]float64 {
	v := map[string]float64{}
	if s.Photopic.Rule != None {
		v["minutes_photopic"] = s.Photopic.Minutes
		v["dose_lx_h"] = s.LuxHours
		v["dose_mel_lx_h"] = s.MelanopicLuxHours
	}
	if s.Melanopic.Rule != None {
		v["minutes_melanopic"] = s.Melanopic.Minutes
	}
	return v
}
