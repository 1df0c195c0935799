package hazard

import (
	"fmt"
	"math"

	"dawnsmith/finding"
	"dawnsmith/light/spectrum"
)

// Group is a risk group of IEC 62471:2006 clause 6.1.
type Group int

// The groups, with the time of looking behind each for blue light: 10 000 s,
// 100 s, 0.25 s.
const (
	Exempt Group = iota
	RG1
	RG2
	RG3
)

// String gives exempt, RG1, RG2 or RG3.
func (g Group) String() string { return [...]string{"exempt", "RG1", "RG2", "RG3"}[g] }

// RadianceGroup is the blue-light group of an extended source of blue-light
// radiance lb in W/(m²·sr), averaged over the cone of each group's time:
// exempt to 100, RG1 to 10⁴, RG2 to 4·10⁶ (IEC 62471:2006 table 6.1).
func RadianceGroup(lb float64) Group { return groupOf(lb, 100, 1e4, 4e6) }

// SmallGroup is the blue-light group of a source under 0.011 rad of blue-light
// irradiance eb in W/m²: exempt and RG1 to 1, RG2 to 400 (IEC 62471:2006
// table 6.1; figures from memory). It never gives RG1.
func SmallGroup(eb float64) Group {
	return groupOf(eb, 1, 1, 400)
}

// ActinicGroup is the group of an actinic ultraviolet irradiance in W/m²:
// 0.001, 0.003, 0.03 (IEC 62471:2006 table 6.1; figures from memory).
func ActinicGroup(es float64) Group { return groupOf(es, 0.001, 0.003, 0.03) }

// NearUVGroup is the group of an unweighted irradiance of 315–400 nm in W/m²:
// 10, 33, 100 (IEC 62471:2006 table 6.1; figures from memory).
func NearUVGroup(e float64) Group { return groupOf(e, 10, 33, 100) }

func groupOf(level float64, exempt, rg1, rg2 float64) Group {
	switch {
	case level <= exempt:
		return Exempt
	case level <= rg1:
		return RG1
	case level <= rg2:
		return RG2
	}
	return RG3
}

// ThermalLimit is the allowed retinal thermal radiance L_R in W/(m²·sr) for a
// source that fills angle alpha (rad, held to 0.0017–0.1) looked at for
// seconds (10 µs to 10 s): 5·10⁴/(α·t^0.25) (IEC 62471:2006 clause 4.3.5;
// from memory).
func ThermalLimit(alpha, seconds float64) (float64, error) {
	if !(seconds >= 10e-6 && seconds <= 10) {
		return 0, fmt.Errorf("time of looking is %g s: the thermal limit holds from 0.00001 to 10 s", seconds)
	}
	if !(alpha > 0) {
		return 0, fmt.Errorf("angle of the source is %g rad: more than 0 is needed", alpha)
	}
	return 5e4 / (min(max(alpha, 0.0017), 0.1) * math.Pow(seconds, 0.25)), nil
}

// SafeIlluminance is an illuminance in lx at which a white source of the
// given correlated colour temperature cannot exceed RG1 whatever its shape,
// and false above 8000 K. It is near half of what the spectrum itself allows;
// with a spectrum at hand use that. Source: IEC TR 62778:2014 annex C.2.3
// (from memory).
func SafeIlluminance(kelvin float64) (lux float64, ok bool) {
	for _, r := range [...][2]float64{{2350, 4000}, {2850, 1850}, {3250, 1450}, {3750, 1100}, {4500, 850}, {5750, 650}, {8000, 500}} {
		if kelvin > 0 && kelvin <= r[0] {
			return r[1], true
		}
	}
	return 0, false
}

// Ultraviolet tells what a spectrum that begins at 380 nm can and cannot say
// about ultraviolet light: irradiance is the spectrum at the eye in
// W/(m²·nm). The part in 380–400 nm is weighed; below is unknown.
func Ultraviolet(irradiance *spectrum.Spectrum) []finding.Finding {
	var near, all float64
	for i, v := range irradiance {
		if spectrum.Wavelength(i) <= 400 {
			near += v
		}
		all += v
	}
	es := irradiance.Dot(&grid().actinic)
	fs := []finding.Finding{{
		Severity: finding.Note,
		Key:      "hazard.uv_unseen",
		What:     "the spectrum begins at 380 nm and says nothing about ultraviolet light below",
		Cause:    "the meter or the table ends there",
		Mend:     "use LEDs whose datasheet states no ultraviolet, or put a sheet with an ultraviolet absorber in front",
		Source:   "IEC 62471:2006 clauses 4.3.1 and 4.3.2 weigh 200–400 nm",
	}}
	if g := max(ActinicGroup(es), NearUVGroup(near)); g > Exempt {
		fs = append(fs, finding.Finding{
			Severity: finding.Stop,
			Key:      "hazard.uv",
			What:     fmt.Sprintf("ultraviolet of 380–400 nm alone reaches %s at this place: %.3g W/m² weighted (exempt to 0.001), %.3g W/m² unweighted (exempt to 10)", g, es, near),
			Cause:    "the light has strong violet or ultraviolet emission",
			Mend:     "leave this light source out",
			Source:   "IEC 62471:2006 table 6.1", NoOverride: true,
		})
	} else if all > 0 && near > 0.01*all {
		fs = append(fs, finding.Finding{
			Severity: finding.Warn,
			Key:      "hazard.uv_near",
			What:     fmt.Sprintf("%.1f %% of the power lies in 380–400 nm, so more may lie below 380 nm; up to 1 %% passes without a word", 100*near/all),
			Cause:    "a violet-pumped LED, a fluorescent tube or stray light in the meter",
			Mend:     "measure from 300 nm, or put a sheet with an ultraviolet absorber in front",
			Source:   "common practice, no source",
		})
	}
	return fs
}
