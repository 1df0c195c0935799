package daylight

import (
	"fmt"
	"math"
	"time"
)

// Place is where the day is lived.
type Place struct {
	Name      string
	Latitude  float64 // °, north positive, -90 to 90
	Longitude float64 // °, east positive, -180 to 180
	Zone      *time.Location
}

// Validate names the field at fault.
func (p Place) Validate() error {
	if !(p.Latitude >= -90 && p.Latitude <= 90) {
		return fmt.Errorf("daylight: latitude is %g°, allowed is -90° to 90° (north positive)", p.Latitude)
	}
	if !(p.Longitude >= -180 && p.Longitude <= 180) {
		return fmt.Errorf("daylight: longitude is %g°, allowed is -180° to 180° (east positive)", p.Longitude)
	}
	if p.Zone == nil {
		return fmt.Errorf("daylight: the place has no time zone; give one such as Europe/Helsinki")
	}
	return nil
}

// Position is where the sun stands, seen from a place, and the quantities on
// the way there.
type Position struct {
	Elevation      float64 // °, of the centre, geometric (no refraction)
	Refracted      float64 // °, as seen through standard air at sea level
	Azimuth        float64 // °, clockwise from true north, 0 to 360; see AzimuthKnown
	AzimuthKnown   bool    // false at the poles and with the sun in the zenith
	Declination    float64 // °
	EquationOfTime float64 // min, sundial minus clock
	Longitude      float64 // °, apparent, of the ecliptic
	Obliquity      float64 // °, corrected for the leading nutation term
	Distance       float64 // astronomical units
}

// Years in which the low-precision theory is used.
const (
	firstYear = 1900
	lastYear  = 2100
)

const deg = math.Pi / 180

// julianCentury counts Julian centuries from J2000.0 in UTC.
func julianCentury(at time.Time) float64 {
	// 2000-01-01 12:00 UTC is Unix second 946 728 000.
	days := (float64(at.Unix()-946728000) + float64(at.Nanosecond())*1e-9) / 86400
	return days / 36525
}

// Sun computes the sun's position by the low-precision theory with the time
// in UTC taken for dynamical time,
//
//	L0 = 280.46646 + 36000.76983 T + 0.0003032 T²
//	M  = 357.52911 + 35999.05029 T - 0.0001537 T²
//	C  = (1.914602 - 0.004817 T - 0.000014 T²) sin M + (0.019993 - 0.000101 T) sin 2M + 0.000289 sin 3M
//	λ  = L0 + C - 0.00569 - 0.00478 sin(125.04 - 1934.136 T)
//	sin δ = sin ε sin λ,  sin h = sin φ sin δ + cos φ cos δ cos H
//
// T in Julian centuries from J2000.0. Validity: years 1900 to 2100, where it
// keeps within 0.01° of a full theory.
//
// Source: Meeus, Astronomical Algorithms, 2nd ed. 1998, ch. 25 (25.2 to 25.8)
// and 28 (28.3); refraction and arrangement after the NOAA solar calculator.
//
// Not modelled: parallax (at most 0.0024°), the difference between UTC and
// dynamical time (about 70 s, 0.0008° of longitude).
func Sun(at time.Time, p Place) (Position, error) {
	if err := p.Validate(); err != nil {
		return Position{}, err
	}
	if y := at.UTC().Year(); y < firstYear || y > lastYear {
		return Position{}, fmt.Errorf("daylight: year is %d, allowed is %d to %d", y, firstYear, lastYear)
	}
	s := orbit(julianCentury(at))
	utc := at.UTC()
	minutes := float64(utc.Hour()*60+utc.Minute()) + (float64(utc.Second())+float64(utc.Nanosecond())*1e-9)/60
	hourAngle := (minutes+s.EquationOfTime+4*p.Longitude)/4 - 180

	sinH, cosH := math.Sincos(hourAngle * deg)
	sinP, cosP := math.Sincos(p.Latitude * deg)
	sinD, cosD := math.Sincos(s.Declination * deg)
	// From the components, which keeps its digits near the zenith.
	up := sinP*sinD + cosP*cosD*cosH
	north := cosP*sinD - sinP*cosD*cosH
	east := -cosD * sinH
	level := math.Hypot(north, east)
	s.Elevation = math.Atan2(up, level) / deg
	s.Refracted = s.Elevation + refraction(s.Elevation)
	s.AzimuthKnown = level > 1e-9 && math.Abs(p.Latitude) < 90-1e-9
	if s.AzimuthKnown {
		s.Azimuth = math.Mod(math.Atan2(east, north)/deg+360, 360)
	}
	return s, nil
}

// orbit fills what does not depend on the place.
func orbit(t float64) (s Position) {
	l0 := math.Mod(280.46646+t*(36000.76983+t*0.0003032), 360)
	m := (357.52911 + t*(35999.05029-t*0.0001537)) * deg
	e := 0.016708634 - t*(0.000042037+t*0.0000001267)
	c := math.Sin(m)*(1.914602-t*(0.004817+t*0.000014)) + math.Sin(2*m)*(0.019993-t*0.000101) + math.Sin(3*m)*0.000289
	omega := (125.04 - 1934.136*t) * deg
	s.Distance = 1.000001018 * (1 - e*e) / (1 + e*math.Cos(m+c*deg))
	s.Longitude = math.Mod(l0+c-0.00569-0.00478*math.Sin(omega)+720, 360)
	s.Obliquity = 23 + (26+(21.448-t*(46.815+t*(0.00059-t*0.001813)))/60)/60 + 0.00256*math.Cos(omega)
	s.Declination = math.Asin(math.Sin(s.Obliquity*deg)*math.Sin(s.Longitude*deg)) / deg
	y := math.Tan(s.Obliquity * deg / 2)
	y *= y
	l := l0 * deg
	s.EquationOfTime = 4 / deg * (y*math.Sin(2*l) - 2*e*math.Sin(m) + 4*e*y*math.Sin(m)*math.Cos(2*l) -
		y*y*math.Sin(4*l)/2 - 1.25*e*e*math.Sin(2*m))
	return s
}

// refraction is how much standard air lifts the sun at a geometric elevation
// (°), in degrees.
//
// Source: NOAA solar calculator, after Meeus, ch. 16.
func refraction(h float64) float64 {
	t := math.Tan(h * deg)
	switch {
	case h > 85:
		return 0
	case h > 5:
		return (58.1/t - 0.07/(t*t*t) + 0.000086/(t*t*t*t*t)) / 3600
	case h > -0.575:
		return (1735 + h*(-518.2+h*(103.4+h*(-12.79+h*0.711)))) / 3600
	}
	return -20.772 / t / 3600
}
