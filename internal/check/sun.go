package check

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"time"
	_ "time/tzdata" // time zones on machines that carry none

	"dawnsmith/day/daylight"
)

// Times are given to a tenth of a second, as the files do.
const stamp = "2006-01-02T15:04:05.0Z"

func suns(src *source) ([]entry, error) {
	port, ref := src.tolerance.or("noaa_port_deg", 1e-6), src.tolerance.or("noaa_vs_ref_deg", 0.02)
	event := src.tolerance.or("event_seconds_noaa_port", 0.5)
	// Printed examples to five decimals by the same theory; the others by a
	// full one.
	published := []rule{
		within("zenith_refracted_deg", ref), degrees("azimuth_deg", ref), within("earth_sun_au", 1e-4),
		degrees("apparent_longitude_deg", 2e-5), within("obliquity_corrected_deg", 2e-5),
		degrees("right_ascension_deg", 2e-5), within("declination_deg", 2e-5), within("distance_au", 1e-4),
		degrees("apparent_longitude", ref), degrees("right_ascension", ref), within("declination", ref),
		within("equation_of_time_min", 0.01),
	}
	lists := []struct {
		name    string
		rules   []rule
		compute func(json.RawMessage) (any, error)
	}{
		{"published", published, sunPublished},
		{"positions", []rule{
			within("noaa/elevation", port), within("noaa/elevation_refracted", port), degrees("noaa/azimuth", port),
			within("noaa/dec", port), within("noaa/eot", port), degrees("noaa/lam", port), within("noaa/eps", port), within("noaa/R", port),
			within("ref/elevation", ref), degrees("ref/azimuth", ref), within("ref/dec", ref), degrees("ref/ra", ref), within("ref/distance", 1e-4),
		}, sunPosition},
		{"days", []rule{
			equal("levels/*/state"), equal("levels/*/noaa/*/kind"), seconds("levels/*/noaa/*/utc", event),
			within("day_hours", 1e-9), within("noaa_min_max_elevation/*", 0.005), seconds("noaa_noon_utc", event),
		}, sunDay},
	}
	var out []entry
	for _, l := range lists {
		part, err := src.entries(l.name, "", l.rules, l.compute)
		if err != nil {
			return nil, err
		}
		for i := range part {
			part[i].title = placed(part[i].stored)
		}
		out = append(out, part...)
	}
	return out, nil
}

// placed says where and when a case is, or who published it.
func placed(raw json.RawMessage) string {
	var about struct{ Source, Place, UTC, Date string }
	_ = json.Unmarshal(raw, &about)
	if about.Source != "" {
		return about.Source
	}
	return strings.Trim(about.Place+", "+about.UTC+about.Date, ", ")
}

// spot is where a case stands.
type spot struct {
	Place string   `json:"place"`
	Lat   *float64 `json:"lat"`
	Lon   *float64 `json:"lon"`
	Zone  string   `json:"zone"`
}

func (s *spot) place() (daylight.Place, error) {
	if s.Lat == nil || s.Lon == nil {
		return daylight.Place{}, fmt.Errorf("lat and lon are needed")
	}
	zone, err := time.LoadLocation(s.Zone)
	if err != nil || s.Zone == "Local" {
		return daylight.Place{}, fmt.Errorf("zone %.60q is not known; names such as Europe/Berlin are allowed", s.Zone)
	}
	p := daylight.Place{Name: s.Place, Latitude: *s.Lat, Longitude: *s.Lon, Zone: zone}
	return p, p.Validate()
}

func sunPublished(raw json.RawMessage) (any, error) {
	var in struct {
		spot
		UTC string `json:"utc"`
		TT  string `json:"tt"`
	}
	if err := into(raw, &in); err != nil {
		return nil, err
	}
	at, err := time.Parse(time.RFC3339, in.UTC+in.TT)
	if in.UTC == "" {
		// Dynamical time: the theory takes its time argument as just that.
		at, err = time.Parse("2006-01-02T15:04:05", in.TT)
	}
	if err != nil {
		return nil, fmt.Errorf("utc or tt is needed, such as 2003-10-17T19:30:30Z: %w", err)
	}
	place := daylight.Place{Zone: time.UTC}
	if in.Lat != nil || in.Lon != nil {
		if place, err = in.place(); err != nil {
			return nil, err
		}
	}
	p, err := daylight.Sun(at, place)
	if err != nil {
		return nil, err
	}
	ra := rightAscension(p)
	out := map[string]float64{
		"apparent_longitude_deg": p.Longitude, "obliquity_corrected_deg": p.Obliquity,
		"right_ascension_deg": ra, "declination_deg": p.Declination,
		"distance_au": p.Distance, "earth_sun_au": p.Distance, "equation_of_time_min": p.EquationOfTime,
		"apparent_longitude": p.Longitude, "right_ascension": ra, "declination": p.Declination,
	}
	if in.Lat != nil {
		out["zenith_refracted_deg"] = 90 - p.Refracted
		if p.AzimuthKnown {
			out["azimuth_deg"] = p.Azimuth
		}
	}
	return out, nil
}

// rightAscension of the sun, °, from its longitude: tan α = cos ε·tan λ.
func rightAscension(p daylight.Position) float64 {
	l, e := p.Longitude*deg, p.Obliquity*deg
	ra := math.Atan2(math.Cos(e)*math.Sin(l), math.Cos(l)) / deg
	if ra < 0 {
		ra += 360
	}
	return ra
}

func sunPosition(raw json.RawMessage) (any, error) {
	var in struct {
		spot
		UTC time.Time `json:"utc"`
	}
	if err := into(raw, &in); err != nil {
		return nil, err
	}
	place, err := in.place()
	if err != nil {
		return nil, err
	}
	if in.UTC.IsZero() {
		return nil, fmt.Errorf("utc is needed")
	}
	p, err := daylight.Sun(in.UTC, place)
	if err != nil {
		return nil, err
	}
	port := map[string]float64{
		"elevation": p.Elevation, "elevation_refracted": p.Refracted,
		"dec": p.Declination, "eot": p.EquationOfTime, "lam": p.Longitude, "eps": p.Obliquity, "R": p.Distance,
	}
	full := map[string]float64{"elevation": p.Elevation, "dec": p.Declination, "ra": rightAscension(p), "distance": p.Distance}
	if p.AzimuthKnown {
		port["azimuth"], full["azimuth"] = p.Azimuth, p.Azimuth
	}
	return map[string]any{"noaa": port, "ref": full}, nil
}

type sunEvent struct {
	Kind  string `json:"kind"`
	UTC   string `json:"utc"`
	Local string `json:"local"`
}

type sunLevel struct {
	State  string     `json:"state"`
	Events []sunEvent `json:"noaa"`
}

func sunDay(raw json.RawMessage) (any, error) {
	var in struct {
		spot
		Date daylight.Date `json:"date"`
	}
	if err := into(raw, &in); err != nil {
		return nil, err
	}
	place, err := in.place()
	if err != nil {
		return nil, err
	}
	levels := map[string]sunLevel{}
	out := map[string]any{"levels": levels}
	for name, height := range map[string]float64{
		"sun": daylight.Sunrise, "civil": daylight.Civil, "nautical": daylight.Nautical, "astronomical": daylight.Astronomical,
	} {
		d, err := place.Day(in.Date, height)
		if err != nil {
			return nil, err
		}
		l := sunLevel{State: d.State.String(), Events: []sunEvent{}}
		for _, e := range d.Events {
			kind := "set"
			if e.Rise {
				kind = "rise"
			}
			t := e.At.UTC().Round(100 * time.Millisecond)
			l.Events = append(l.Events, sunEvent{kind, t.Format(stamp), t.In(place.Zone).Format("15:04:05-0700")})
		}
		levels[name] = l
		out["day_hours"] = d.End.Sub(d.Start).Hours()
		out["noaa_min_max_elevation"] = [2]float64{d.Lowest, d.Highest}
		out["noaa_noon_utc"] = d.Noon.UTC().Round(100 * time.Millisecond).Format(stamp)
	}
	return out, nil
}
