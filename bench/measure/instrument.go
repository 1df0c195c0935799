package measure

import (
	"fmt"
	"math"
	"strings"

	"dawnsmith/finding"
	"dawnsmith/light/spectrum"
)

// InputError says what is wrong with a reading or a setting, what is allowed
// and how to mend it.
type InputError struct {
	Field   string // as in the document, dotted
	Found   string
	Allowed string
	Mend    string // "" when Allowed says it all
}

// Error gives one line for a person.
func (e *InputError) Error() string {
	s := fmt.Sprintf("%s is %s: allowed is %s", e.Field, e.Found, e.Allowed)
	if e.Mend != "" {
		s += "; " + e.Mend
	}
	return s
}

func bad(field string, found any, allowed, mend string) error {
	return &InputError{field, fmt.Sprint(found), allowed, mend}
}

// within refuses numbers outside lo to hi, NaN included.
func within(field string, x, lo, hi float64, allowed, mend string) error {
	if x >= lo && x <= hi {
		return nil
	}
	return bad(field, fmt.Sprintf("%g", x), allowed, mend)
}

func firstOf(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// InstrumentKind is what an instrument reads.
type InstrumentKind string

// The kinds of instrument at a lamp maker's bench.
const (
	LuxMeter     InstrumentKind = "lux meter"
	Spectrometer InstrumentKind = "spectrometer"
	PowerMeter   InstrumentKind = "power meter"
	Multimeter   InstrumentKind = "multimeter"
	Thermometer  InstrumentKind = "thermometer"
	LightSensor  InstrumentKind = "light sensor" // photodiode and scope, for waveforms
	Camera       InstrumentKind = "camera"
	PhoneApp     InstrumentKind = "phone"
)

// Calibration is what the certificate says, or "" and 0 where there is none.
type Calibration struct {
	Date        string  `json:"date,omitempty"` // of the calibration, 2026-03-02
	Certificate string  `json:"certificate,omitempty"`
	U           float64 `json:"u,omitempty"` // expanded uncertainty of the scale, relative
	K           float64 `json:"k,omitempty"` // its coverage factor; 0: 2
}

// Instrument is a meter as its data sheet, its certificate and experience
// describe it. Relative figures are shares of the reading. What is 0 takes
// the default of its kind, and the Record says so.
type Instrument struct {
	ID   string         `json:"id"` // lower case words joined by hyphens
	Name string         `json:"name,omitempty"`
	Kind InstrumentKind `json:"kind"`
	Note string         `json:"note,omitempty"`
	// Class is what the maker claims ("class B", "f1′ 6 %"), as text.
	Class       string      `json:"class,omitempty"`
	Calibration Calibration `json:"calibration"`
	// Mismatch is f1′, the misfit of the responsivity to V(λ), relative.
	Mismatch float64 `json:"f1,omitempty"`
	// Cosine is f2, the misfit to the cosine law, relative half width.
	Cosine float64 `json:"f2,omitempty"`
	// Linearity is the half width of range and linearity errors, relative.
	Linearity float64 `json:"linearity,omitempty"`
	// Drift is the half width of what the scale may have moved since the
	// calibration, relative.
	Drift float64 `json:"drift,omitempty"`
	// Resolution is the last digit of the display in the unit of the reading.
	Resolution float64 `json:"resolution,omitempty"`
	// Offset is the half width of a fixed error in the unit of the reading.
	Offset float64 `json:"offset,omitempty"`
	// High is the end of the range in the unit of the reading; a reading at
	// or above it is a lower bound. 0: not known.
	High float64 `json:"high,omitempty"`
	// Responsivity is s(λ), relative, where it was measured; nil: not known.
	Responsivity *spectrum.Spectrum `json:"responsivity,omitempty"`
	// CalibratedWith names the light of the calibration; "": illuminant A.
	CalibratedWith string `json:"calibrated_with,omitempty"`
	// WavelengthHalf is the half width of the error of a spectrometer's
	// wavelength scale, nm; Stray its stray light as a share of the greatest
	// reading; Bandwidth its full width at half maximum, nm.
	WavelengthHalf float64 `json:"wavelength_half_nm,omitempty"`
	Stray          float64 `json:"stray,omitempty"`
	Bandwidth      float64 `json:"bandwidth_nm,omitempty"`
}

// defaults are what is assumed of a kind when nothing is stated: calibration
// (k = 2), f1′, f2, linearity, drift, all relative. Engineering estimates for
// hobby instruments, no source; for phones the spread found between phones is
// several tens of percent.
var defaults = map[InstrumentKind]Instrument{
	LuxMeter:     {Calibration: Calibration{U: 0.04, K: 2}, Mismatch: 0.06, Cosine: 0.02, Linearity: 0.01, Drift: 0.01},
	Spectrometer: {Calibration: Calibration{U: 0.05, K: 2}, Cosine: 0.03, Linearity: 0.01, Drift: 0.01, WavelengthHalf: 0.5, Stray: 0.002},
	PowerMeter:   {Calibration: Calibration{U: 0.02, K: 2}, Linearity: 0.005},
	Multimeter:   {Calibration: Calibration{U: 0.01, K: 2}},
	Thermometer:  {Offset: 1.5},
	LightSensor:  {Linearity: 0.01},
	Camera:       {Linearity: 0.05},
	PhoneApp:     {Calibration: Calibration{U: 0.40, K: 2}, Mismatch: 0.20, Cosine: 0.20, Linearity: 0.05, Drift: 0.05},
}

// Kinds lists the kinds of instrument.
func Kinds() []InstrumentKind {
	return []InstrumentKind{LuxMeter, Spectrometer, PowerMeter, Multimeter, Thermometer, LightSensor, Camera, PhoneApp}
}

// Check refuses what no instrument can be; the error is an *InputError.
func (i Instrument) Check() error {
	if i.ID == "" {
		return bad("instrument.id", "empty", "a short name", "give the meter a name such as lx-1, so that readings can tell which meter made them")
	}
	if _, ok := defaults[i.Kind]; !ok {
		var names []string
		for _, k := range Kinds() {
			names = append(names, string(k))
		}
		return bad("instrument.kind", fmt.Sprintf("%q", i.Kind), "one of "+strings.Join(names, ", "), "")
	}
	share := func(field string, x, hi float64) error {
		return within("instrument."+field, x, 0, hi, fmt.Sprintf("0 to %g, as a share", hi), "write 4 % as 0.04")
	}
	if i.Responsivity != nil {
		if err := i.Responsivity.Check(); err != nil {
			return bad("instrument.responsivity", err, "a curve of values not below 0", "")
		}
	}
	return firstOf(
		share("calibration.u", i.Calibration.U, 1),
		within("instrument.calibration.k", i.Calibration.K, 0, 5, "0 to 5", "2 is usual"),
		share("f1", i.Mismatch, 1), share("f2", i.Cosine, 1), share("linearity", i.Linearity, 0.5), share("drift", i.Drift, 0.5), share("stray", i.Stray, 0.1),
		within("instrument.resolution", i.Resolution, 0, math.MaxFloat64, "0 or more", ""),
		within("instrument.offset", i.Offset, 0, math.MaxFloat64, "0 or more", ""),
		within("instrument.high", i.High, 0, math.MaxFloat64, "0 (not known) or more", ""),
		within("instrument.wavelength_half_nm", i.WavelengthHalf, 0, 10, "0 to 10 nm", ""),
		within("instrument.bandwidth_nm", i.Bandwidth, 0, 50, "0 to 50 nm", ""))
}

// WithDefaults fills what is not known with the defaults of the kind and
// lists in words what was assumed.
func (i Instrument) WithDefaults() (Instrument, []string) {
	d := defaults[i.Kind]
	var said []string
	fill := func(x *float64, v float64, what string) {
		if *x == 0 && v > 0 {
			*x = v
			said = append(said, fmt.Sprintf("%s of %s assumed %.3g %%", what, i.ID, 100*v))
		}
	}
	if i.Calibration.U == 0 && d.Calibration.U > 0 {
		i.Calibration.U, i.Calibration.K = d.Calibration.U, d.Calibration.K
		said = append(said, fmt.Sprintf("calibration of %s assumed ± %.3g %% (k = 2)", i.ID, 100*d.Calibration.U))
	}
	if i.Calibration.K == 0 {
		i.Calibration.K = 2
	}
	fill(&i.Mismatch, d.Mismatch, "spectral mismatch f1′")
	fill(&i.Cosine, d.Cosine, "cosine error f2")
	fill(&i.Linearity, d.Linearity, "linearity")
	fill(&i.Drift, d.Drift, "drift since calibration")
	fill(&i.Stray, d.Stray, "stray light")
	if i.WavelengthHalf == 0 && d.WavelengthHalf > 0 {
		i.WavelengthHalf = d.WavelengthHalf
		said = append(said, fmt.Sprintf("wavelength scale of %s assumed ± %g nm", i.ID, d.WavelengthHalf))
	}
	if i.Offset == 0 && d.Offset > 0 {
		i.Offset = d.Offset
		said = append(said, fmt.Sprintf("fixed error of %s assumed ± %g", i.ID, d.Offset))
	}
	if i.CalibratedWith == "" {
		i.CalibratedWith = "A"
	}
	return i, said
}

// Source names an error that all readings of this instrument under one
// calibration share.
func (i Instrument) Source(what string) string {
	s := "meter " + i.ID + " " + what
	if i.Calibration.Date != "" {
		s += " " + i.Calibration.Date
	}
	return s
}

// Findings says what speaks against the instrument.
func (i Instrument) Findings() []finding.Finding {
	var fs []finding.Finding
	switch {
	case i.Kind == PhoneApp:
		fs = append(fs, finding.Finding{
			Severity: finding.Warn, Key: "measure.phone",
			What:   "a phone is not a light meter: readings of one lamp differ by tens of percent between phones",
			Cause:  "its sensor has neither a cosine diffuser nor the eye's responsivity",
			Mend:   "use a lux meter with a calibration; even a cheap one is better known",
			Source: "ISO/CIE 19476:2014 asks for both; the spread is common experience, no source",
		})
	case i.Kind == LuxMeter && i.Mismatch > 0.09:
		fs = append(fs, finding.Finding{
			Severity: finding.Warn, Key: "measure.meter_mismatch",
			What:   fmt.Sprintf("the meter's f1′ is %.0f %%; 9 %% is the most for a general-purpose meter", 100*i.Mismatch),
			Cause:  "its responsivity does not follow V(λ), so lamps of other spectra read wrongly",
			Mend:   "correct with the lamp's spectrum and the meter's responsivity, or compare only lamps of like spectrum",
			Source: "DIN 5032-7 class C (from memory); Tabaka & Wtorkiewicz 2022, Energies 15:5847",
		})
	}
	if (i.Kind == LuxMeter || i.Kind == Spectrometer) && i.Calibration.Date == "" {
		fs = append(fs, finding.Finding{
			Severity: finding.Note, Key: "measure.no_calibration",
			What:   fmt.Sprintf("no calibration date is given for %s", i.ID),
			Cause:  "the uncertainty of its scale is an assumption",
			Mend:   "enter date and uncertainty from the certificate, or compare the meter with a calibrated one",
			Source: "JCGM 100:2008 (GUM), 4.3",
		})
	}
	return fs
}
