package daylight

import (
	"fmt"
	"time"
)

// PositionCase is a position as the reference files of format sun-cases/1
// write it.
type PositionCase struct {
	Place string    `json:"place"`
	Lat   float64   `json:"lat"`
	Lon   float64   `json:"lon"`
	UTC   time.Time `json:"utc"`
}

// Compute gives the position under the file's keys.
func (c *PositionCase) Compute() (map[string]float64, error) {
	s, err := Sun(c.UTC, Place{Latitude: c.Lat, Longitude: c.Lon, Zone: time.UTC})
	if err != nil {
		return nil, fmt.Errorf("case %s: %w", c.Place, err)
	}
	out := map[string]float64{
		"elevation": s.Elevation, "elevation_refracted": s.Refracted, "dec": s.Declination,
		"eot": s.EquationOfTime, "lam": s.Longitude, "eps": s.Obliquity, "R": s.Distance,
	}
	if s.AzimuthKnown {
		out["azimuth"] = s.Azimuth
	}
	return out, nil
}

// DayCase is a local day of the same files.
type DayCase struct {
	Place string  `json:"place"`
	Lat   float64 `json:"lat"`
	Lon   float64 `json:"lon"`
	Zone  string  `json:"zone"`
	Date  Date    `json:"date"`
}

// CaseEvent is a rise or set under the file's keys.
type CaseEvent struct {
	Kind  string    `json:"kind"`
	UTC   time.Time `json:"utc"`
	Local string    `json:"local"`
}

// CaseLevel is one level of a [DayCase].
type CaseLevel struct {
	State  string      `json:"state"`
	Events []CaseEvent `json:"noaa"`
}

// CaseDay is what a [DayCase] computes to.
type CaseDay struct {
	Levels map[string]CaseLevel `json:"levels"`
	Hours  float64              `json:"day_hours"`
	MinMax [2]float64           `json:"noaa_min_max_elevation"` // °, the true extremes, not those of a scan
	Noon   time.Time            `json:"noaa_noon_utc"`
}

// Compute finds the day's events at all four levels; zone is the one that
// Zone names.
func (c *DayCase) Compute(zone *time.Location) (CaseDay, error) {
	p := Place{Latitude: c.Lat, Longitude: c.Lon, Zone: zone}
	out := CaseDay{Levels: map[string]CaseLevel{}}
	for name, level := range map[string]float64{"sun": Sunrise, "civil": Civil, "nautical": Nautical, "astronomical": Astronomical} {
		d, err := p.Day(c.Date, level)
		if err != nil {
			return CaseDay{}, fmt.Errorf("case %s: %w", c.Place, err)
		}
		l := CaseLevel{State: d.State.String(), Events: []CaseEvent{}}
		for _, e := range d.Events {
			kind := "set"
			if e.Rise {
				kind = "rise"
			}
			l.Events = append(l.Events, CaseEvent{kind, e.At.UTC().Round(100 * time.Millisecond), e.At.Format("15:04:05-0700")})
		}
		out.Levels[name] = l
		out.Hours = d.End.Sub(d.Start).Hours()
		out.MinMax = [2]float64{d.Lowest, d.Highest}
		out.Noon = d.Noon.UTC().Round(100 * time.Millisecond)
	}
	return out, nil
}

// CaseChannel is a channel as the reference files of format two-channel-cases/1
// write it.
type CaseChannel struct {
	X   float64 `json:"x"`
	Y   float64 `json:"y"`
	Lux float64 `json:"E"`
	DER float64 `json:"der"`
}

// Channel is the same in this package's terms.
func (c CaseChannel) Channel() Channel { return Channel{Lux: c.Lux, X: c.X, Y: c.Y, DER: c.DER} }

// CaseMixed is a mixture under the file's keys.
type CaseMixed struct {
	Lux    float64 `json:"E_lx"`
	MEDI   float64 `json:"melanopic_EDI_lx"`
	DER    float64 `json:"der"`
	X      float64 `json:"x"`
	Y      float64 `json:"y"`
	Kelvin float64 `json:"cct_K"`
	Duv    float64 `json:"duv"`
}

// CaseSetting is a solved target under the file's keys.
type CaseSetting struct {
	Share     float64   `json:"cool_share_of_illuminance"`
	Colour    string    `json:"colour"`
	Warm      float64   `json:"warm"`
	Cool      float64   `json:"cool"`
	LimitedBy *string   `json:"limited_by"`
	Result    CaseMixed `json:"result"`
}

// Case writes a mixture under the file's keys.
func (m *Mixed) Case() CaseSetting {
	c := CaseSetting{
		Share: m.Share, Colour: m.Colour.String(), Warm: m.Warm, Cool: m.Cool,
		Result: CaseMixed{m.Lux, m.MEDI, m.DER, m.X, m.Y, m.Kelvin, m.Duv},
	}
	if m.LimitedBy != "" {
		c.LimitedBy = &m.LimitedBy
	}
	return c
}
