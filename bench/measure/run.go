package measure

import (
	"math"

	"dawnsmith/light/flicker"
	"dawnsmith/light/spectrum"
)

// Subject is what was measured.
type Subject struct {
	Lamp   string `json:"lamp"`             // its id in the logbook
	Serial string `json:"serial,omitempty"` // of the unit, "" for the only one
	Name   string `json:"name,omitempty"`
	Maker  string `json:"maker,omitempty"` // who built or sold it
}

// String names the subject with its serial.
func (s Subject) String() string {
	if s.Serial == "" {
		return s.Lamp
	}
	return s.Lamp + " no. " + s.Serial
}

// Plane is where a distance was taken from.
type Plane string

// Places a distance may start at; it ends at the meter's reference plane.
const (
	FromFace    Plane = "face"    // the outer side of the sheet
	FromRim     Plane = "rim"     // the front edge of the case
	FromBack    Plane = "back"    // the lamp's back
	FromUnknown Plane = "unknown" // not noted
)

// Facing is how the meter head was held.
type Facing string

// The ways to hold a meter head.
const (
	AtLamp  Facing = "lamp"    // turned to the centre of the face
	Forward Facing = "forward" // upright, as the eye of a person who looks ahead
	Upwards Facing = "up"      // lying on the desk
)

// Room is how dark the room was.
type Room string

// Kinds of room.
const (
	DarkRoom    Room = "dark"
	DimRoom     Room = "dim"
	LitRoom     Room = "lit"
	UnknownRoom Room = "unknown"
)

// Conditions are everything about a reading that is not the reading.
type Conditions struct {
	// Distance is from the plane named by From to the meter's reference
	// plane, m; 0: not noted.
	Distance float64 `json:"distance_m,omitempty"`
	From     Plane   `json:"from,omitempty"`
	// DistanceHalf is the half width of its error, m; 0: 3 mm.
	DistanceHalf float64 `json:"distance_half_m,omitempty"`
	// Angle is how far the meter stood off the face's axis, rad.
	Angle float64 `json:"angle_rad,omitempty"`
	// TiltHalf is the half width of the meter head's tilt, rad; 0: 3°.
	TiltHalf float64 `json:"tilt_half_rad,omitempty"`
	Facing   Facing  `json:"facing,omitempty"`
	Room     Room    `json:"room,omitempty"`
	// WarmUp is how long the lamp had burnt when the run began, s; a negative
	// number says that it is not known.
	WarmUp float64 `json:"warm_up_s"`
	// Drive is the duty of each channel by name, 0 to 1; nil: full on.
	Drive map[string]float64 `json:"drive,omitempty"`
	// Ambient is the air temperature, K; 0: not noted.
	Ambient float64 `json:"ambient_k,omitempty"`
	// Supply says which supply fed the lamp; SupplyVoltage is what it gave at
	// the lamp's connector, V; 0: not read.
	Supply        string  `json:"supply,omitempty"`
	SupplyVoltage float64 `json:"supply_voltage_v,omitempty"`
	// Firmware names the setting of whatever dims or steers the lamp.
	Firmware string `json:"firmware,omitempty"`
	// Date is the day of the run, 2026-11-25, with or without a time.
	Date string `json:"date,omitempty"`
	// FaceLength and FaceWidth are the sides of the luminous face, m; 0: not
	// known.
	FaceLength float64 `json:"face_length_m,omitempty"`
	FaceWidth  float64 `json:"face_width_m,omitempty"`
	// Light names the kind of light ("violet 5000 K strip"): readings of one
	// kind share their meter's mismatch. "": the lamp's own.
	Light string `json:"light,omitempty"`
	// Spectrum of the lamp, of any scale, where it is known: it corrects a
	// lux meter of known responsivity.
	Spectrum *spectrum.Spectrum `json:"spectrum,omitempty"`
	// Photos names pictures of the set-up.
	Photos []string `json:"photos,omitempty"`
}

// Check refuses conditions that cannot be; the error is an *InputError.
func (c Conditions) Check() error {
	opt := func(field string, x, lo, hi float64, allowed string) error {
		if x == 0 {
			return nil
		}
		return within("conditions."+field, x, lo, hi, allowed, "leave it out when it was not noted")
	}
	switch c.Facing {
	case "", AtLamp, Forward, Upwards:
	default:
		return bad("conditions.facing", c.Facing, "lamp, forward or up", "")
	}
	switch c.From {
	case "", FromFace, FromRim, FromBack, FromUnknown:
	default:
		return bad("conditions.from", c.From, "face, rim, back or unknown", "")
	}
	switch c.Room {
	case "", DarkRoom, DimRoom, LitRoom, UnknownRoom:
	default:
		return bad("conditions.room", c.Room, "dark, dim, lit or unknown", "")
	}
	for name, d := range c.Drive {
		if !(d >= 0 && d <= 1) {
			return bad("conditions.drive."+name, d, "0 to 1", "write 40 % as 0.4")
		}
	}
	if math.IsNaN(c.WarmUp) || math.IsInf(c.WarmUp, 0) {
		return bad("conditions.warm_up_s", c.WarmUp, "a time, or below 0 when not known", "")
	}
	return firstOf(
		opt("distance_m", c.Distance, 0.005, 20, "5 mm to 20 m"),
		opt("distance_half_m", c.DistanceHalf, 1e-5, 1, "0.01 mm to 1 m"),
		opt("angle_rad", c.Angle, -math.Pi/2, math.Pi/2, "−90° to 90°"),
		opt("tilt_half_rad", c.TiltHalf, 1e-4, math.Pi/4, "up to 45°"),
		opt("ambient_k", c.Ambient, 233, 343, "−40 °C to 70 °C"),
		opt("supply_voltage_v", c.SupplyVoltage, 0.5, 400, "0.5 to 400 V"),
		opt("face_length_m", c.FaceLength, 0.005, 5, "5 mm to 5 m"),
		opt("face_width_m", c.FaceWidth, 0.005, 5, "5 mm to 5 m"))
}

func (c Conditions) withDefaults() Conditions {
	if c.DistanceHalf == 0 {
		c.DistanceHalf = 0.003
	}
	if c.TiltHalf == 0 {
		c.TiltHalf = 3 * math.Pi / 180
	}
	if c.Facing == "" {
		c.Facing = AtLamp
	}
	if c.From == "" {
		c.From = FromUnknown
	}
	if c.Room == "" {
		c.Room = UnknownRoom
	}
	return c
}

// Kind is what a run consists of.
type Kind string

// The kinds of run.
const (
	SpectrumRun Kind = "spectrum"    // one spectrum, or a few of the same
	SpectraRun  Kind = "spectra"     // a series with time stamps
	LuxRun      Kind = "lux"         // one lux reading or a log of them
	DistanceRun Kind = "distances"   // lux at several distances
	WaveformRun Kind = "waveform"    // light against time, for flicker
	LogRun      Kind = "log"         // watts, volts, temperatures against time
	HandRun     Kind = "hand"        // readings typed in
	SheetRun    Kind = "first power" // the sheet filled in when a lamp is first switched on
	FaceRun     Kind = "face"        // brightest and mean of a face photograph
)

// RunKinds lists the kinds of run.
func RunKinds() []Kind {
	return []Kind{SpectrumRun, SpectraRun, LuxRun, DistanceRun, WaveformRun, LogRun, HandRun, SheetRun, FaceRun}
}

// Run is what was read in one go. Of the payloads the one that belongs to Kind
// is set.
type Run struct {
	ID         string     `json:"id"` // names the run's own errors; unique in a logbook
	Kind       Kind       `json:"kind"`
	Subject    Subject    `json:"subject"`
	Instrument Instrument `json:"instrument"`
	Conditions Conditions `json:"conditions"`

	Spectra   *SpectrumLog      `json:"spectra,omitempty"`
	Lux       *LuxLog           `json:"lux,omitempty"`
	Distances []AtDistance      `json:"distances,omitempty"`
	Waveform  *flicker.Waveform `json:"waveform,omitempty"`
	Log       *Log              `json:"log,omitempty"`
	Hand      []Reading         `json:"hand,omitempty"`
	Face      *FacePhoto        `json:"face,omitempty"`
}

// SpectrumLog is one spectrum or more, of one scale and unit.
type SpectrumLog struct {
	// Quantity is what the samples are: irradiance gives lux; a relative
	// spectrum gives colour alone.
	Quantity spectrum.Quantity `json:"quantity"`
	// Times are since the run began, s, rising; nil: repeats of one moment.
	Times   []float64           `json:"times_s,omitempty"`
	Spectra []spectrum.Spectrum `json:"spectra"`
	// Before and After are read with the lamp covered.
	Before *spectrum.Spectrum `json:"before,omitempty"`
	After  *spectrum.Spectrum `json:"after,omitempty"`
	// Lux, if not 0, is the level read beside a relative spectrum, lx.
	Lux float64 `json:"lux,omitempty"`
	// OverRange says that the meter was saturated.
	OverRange bool `json:"over_range,omitempty"`
}

// LuxLog is one lux reading or a log of them.
type LuxLog struct {
	Times []float64 `json:"times_s,omitempty"` // since the run began, s, rising; nil for repeats
	Lux   []float64 `json:"lux"`
	Power []float64 `json:"power_w,omitempty"` // beside each reading, for the stability rule
	// Before and After are read with the lamp covered, lx; nil: not read.
	Before *float64 `json:"before_lx,omitempty"`
	After  *float64 `json:"after_lx,omitempty"`
	// OverRange says that the display showed over-range; readings at or above
	// the instrument's High count so by themselves.
	OverRange bool `json:"over_range,omitempty"`
}

// AtDistance is a lux reading at one distance.
type AtDistance struct {
	Distance  float64 `json:"distance_m"` // m, as Conditions.Distance
	Lux       float64 `json:"lux"`        // background taken off, unless Dark is given
	Dark      float64 `json:"dark_lx,omitempty"`
	OverRange bool    `json:"over_range,omitempty"`
}

// Log is any quantities against time.
type Log struct {
	Times   []float64 `json:"times_s"` // since the run began, s, rising
	Columns []Column  `json:"columns"`
}

// Column is one quantity of a Log.
type Column struct {
	// Key is the metric it measures; X are in that metric's unit.
	Key string    `json:"key"`
	X   []float64 `json:"x"`
	// Instrument that read it; nil: the run's.
	Instrument *Instrument `json:"instrument,omitempty"`
}

// Reading is one number typed in.
type Reading struct {
	// Key is the metric it measures; X is in that metric's unit.
	Key string  `json:"key"`
	X   float64 `json:"x"`
	// U is its standard uncertainty where it is known better than the
	// instrument tells, in the same unit; 0: from the instrument.
	U float64 `json:"u,omitempty"`
	// Distance of an illuminance where it is not the run's, m.
	Distance   float64     `json:"distance_m,omitempty"`
	Instrument *Instrument `json:"instrument,omitempty"`
	OverRange  bool        `json:"over_range,omitempty"`
	Note       string      `json:"note,omitempty"`
}
