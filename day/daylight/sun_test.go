package daylight

import (
	"encoding/json"
	"math"
	"os"
	"testing"
	"time"
	_ "time/tzdata"
)

type sunEvent struct {
	Kind string
	UTC  time.Time
}

type sunFile struct {
	Tolerance struct {
		Port  float64 `json:"noaa_port_deg"`
		Ref   float64 `json:"noaa_vs_ref_deg"`
		Event float64 `json:"event_seconds_noaa_port"`
	}
	Positions []struct {
		Place, Zone string
		Lat, Lon    float64
		UTC         time.Time
		Noaa        struct {
			Elevation, Azimuth, Dec, Eot, Lam, Eps, R float64
			Refracted                                 float64 `json:"elevation_refracted"`
		}
		Ref struct{ Elevation, Azimuth, Dec, Distance float64 }
	}
	Days []struct {
		Place, Zone, Date string
		Lat, Lon          float64
		Levels            map[string]struct {
			State     string
			Noaa, Ref []sunEvent
		}
		Hours  float64    `json:"day_hours"`
		MinMax [2]float64 `json:"noaa_min_max_elevation"`
		Noon   time.Time  `json:"noaa_noon_utc"`
	}
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.10g, want %.10g ± %g", what, got, want, tol)
	}
}

func zone(t testing.TB, name string) *time.Location {
	t.Helper()
	z, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return z
}

func readSun(t testing.TB) sunFile {
	t.Helper()
	b, err := os.ReadFile("testdata/sun.json")
	if err != nil {
		t.Fatal(err)
	}
	var f sunFile
	if err := json.Unmarshal(b, &f); err != nil {
		t.Fatal(err)
	}
	if len(f.Positions) == 0 || len(f.Days) == 0 {
		t.Fatal("sun.json is empty")
	}
	return f
}

// "noaa" is the same theory computed elsewhere, "ref" ERFA (IAU 2006/2000A).
func TestPositions(t *testing.T) {
	f := readSun(t)
	for _, c := range f.Positions {
		s, err := Sun(c.UTC, Place{Latitude: c.Lat, Longitude: c.Lon, Zone: zone(t, c.Zone)})
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.Place+" elevation", s.Elevation, c.Noaa.Elevation, f.Tolerance.Port)
		near(t, c.Place+" refracted", s.Refracted, c.Noaa.Refracted, f.Tolerance.Port)
		near(t, c.Place+" azimuth", s.Azimuth, c.Noaa.Azimuth, f.Tolerance.Port)
		near(t, c.Place+" declination", s.Declination, c.Noaa.Dec, f.Tolerance.Port)
		near(t, c.Place+" equation of time", s.EquationOfTime, c.Noaa.Eot, f.Tolerance.Port)
		near(t, c.Place+" longitude", s.Longitude, c.Noaa.Lam, f.Tolerance.Port)
		near(t, c.Place+" obliquity", s.Obliquity, c.Noaa.Eps, f.Tolerance.Port)
		near(t, c.Place+" distance", s.Distance, c.Noaa.R, 1e-7)
		near(t, c.Place+" against ERFA", s.Elevation, c.Ref.Elevation, f.Tolerance.Ref)
		near(t, c.Place+" azimuth against ERFA", (s.Azimuth-c.Ref.Azimuth)*math.Cos(s.Elevation*deg), 0, f.Tolerance.Ref)
	}
}

// Reda & Andreas, NREL/TP-560-34302, table A5.1: 2003-10-17 12:30:30 UTC-7 at
// 39.742476 N 105.1786 W: zenith 50.11162°, azimuth 194.34024° (with their
// pressure and height; the simple theory is within 0.01°).
func TestSPAExample(t *testing.T) {
	s, err := Sun(time.Date(2003, 10, 17, 19, 30, 30, 0, time.UTC), Place{Latitude: 39.742476, Longitude: -105.1786, Zone: time.UTC})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "zenith", 90-s.Refracted, 50.11162, 0.01)
	near(t, "azimuth", s.Azimuth, 194.34024, 0.01)
	near(t, "distance", s.Distance, 0.9965422974, 5e-5)
}

// Meeus, Astronomical Algorithms, example 25.a (1992 October 13, 0h TD):
// apparent longitude 199.90895°, obliquity 23.43999°, declination -7.78507°,
// R 0.99766; example 28.a and 28.b: equation of time 13 m 42.7 s by the simple
// formula.
func TestMeeusExamples(t *testing.T) {
	s := orbit(julianCentury(time.Date(1992, 10, 13, 0, 0, 0, 0, time.UTC)))
	near(t, "longitude", s.Longitude, 199.90895, 2e-5)
	near(t, "obliquity", s.Obliquity, 23.43999, 1e-5)
	near(t, "declination", s.Declination, -7.78507, 1e-5)
	near(t, "distance", s.Distance, 0.99766, 1e-5)
	near(t, "equation of time", s.EquationOfTime, 13+42.7/60, 0.05/60*10)
}

func TestDays(t *testing.T) {
	f := readSun(t)
	levels := map[string]float64{"sun": Sunrise, "civil": Civil, "nautical": Nautical, "astronomical": Astronomical}
	for _, c := range f.Days {
		date, err := ParseDate(c.Date)
		if err != nil {
			t.Fatal(err)
		}
		p := Place{Latitude: c.Lat, Longitude: c.Lon, Zone: zone(t, c.Zone)}
		for name, l := range c.Levels {
			d, err := p.Day(date, levels[name])
			if err != nil {
				t.Fatal(err)
			}
			what := c.Place + " " + c.Date + " " + name
			near(t, what+" hours", d.End.Sub(d.Start).Hours(), c.Hours, 0)
			// The file's extremes are the greatest and least of a five-minute scan.
			near(t, what+" lowest", d.Lowest-c.MinMax[0], -0.001, 0.0011)
			near(t, what+" highest", d.Highest-c.MinMax[1], 0.001, 0.0011)
			near(t, what+" noon", d.Noon.Sub(c.Noon).Seconds(), 0, 0.5)
			if d.State.String() != l.State || len(d.Events) != len(l.Noaa) {
				t.Errorf("%s: %v with %d events, want %s with %d", what, d.State, len(d.Events), l.State, len(l.Noaa))
				continue
			}
			for i, e := range d.Events {
				if e.Rise != (l.Noaa[i].Kind == "rise") {
					t.Errorf("%s event %d is not a %s", what, i, l.Noaa[i].Kind)
				}
				near(t, what+" event", e.At.Sub(l.Noaa[i].UTC).Seconds(), 0, f.Tolerance.Event)
				near(t, what+" event against ERFA", e.At.Sub(l.Ref[i].UTC).Seconds(), 0, 30)
			}
		}
	}
}

// What the reference command prints is what the cases hold.
func TestCaseForms(t *testing.T) {
	b, err := os.ReadFile("testdata/sun.json")
	if err != nil {
		t.Fatal(err)
	}
	var f struct {
		Positions []struct {
			PositionCase
			Noaa map[string]float64
		}
		Days []struct {
			DayCase
			Levels map[string]CaseLevel
			Hours  float64 `json:"day_hours"`
		}
	}
	if err := json.Unmarshal(b, &f); err != nil {
		t.Fatal(err)
	}
	for _, c := range f.Positions {
		got, err := c.Compute()
		if err != nil {
			t.Fatal(err)
		}
		for k, want := range c.Noaa {
			near(t, c.Place+" "+k, got[k], want, 1e-6)
		}
	}
	for _, c := range f.Days {
		got, err := c.Compute(zone(t, c.Zone))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "hours", got.Hours, c.Hours, 0)
		for name, l := range c.Levels {
			g := got.Levels[name]
			if g.State != l.State || len(g.Events) != len(l.Events) {
				t.Fatalf("%s %s: %+v, want %+v", c.Place, name, g, l)
			}
			for i, e := range l.Events {
				if g.Events[i].Kind != e.Kind || g.Events[i].UTC.Sub(e.UTC).Abs() > 500*time.Millisecond {
					t.Errorf("%s %s: %+v, want %+v", c.Place, name, g.Events[i], e)
				}
			}
		}
	}
}
