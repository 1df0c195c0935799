package compare

import (
	"fmt"
	"slices"

	"dawnsmith/bench/measure"
	"dawnsmith/lamp/optics"
	"dawnsmith/lamp/predict"
	"dawnsmith/quantity"
)

// Where says in what place and at what level lamps are compared.
type Where string

// The places and levels.
const (
	AsRead        Where = "as read"        // each as it was read: only fair where that was alike
	SameDistance  Where = "same distance"  // all at Terms.Distance on the face's axis
	UseDistance   Where = "use distance"   // each at its own use distance
	SameLux       Where = "same lux"       // each where it gives Terms.Lux; with a Distance, dimmed to it there
	SameLuminance Where = "same luminance" // each dimmed to a face of Terms.Luminance
)

// Per says what a number is shared out over.
type Per string

// The divisors.
const (
	PerLamp  Per = ""
	PerWatt  Per = "watt at the plug"
	PerPrice Per = "price"
	PerArea  Per = "face area"
	PerMass  Per = "mass"
)

// Terms are what lamps are compared on.
type Terms struct {
	Where     Where   `json:"where"`
	Distance  float64 `json:"distance_m,omitempty"` // m
	Lux       float64 `json:"lux,omitempty"`
	Luminance float64 `json:"luminance_cd_m2,omitempty"`
	Per       Per     `json:"per,omitempty"`
}

// String says the terms in words.
func (t Terms) String() string {
	s := string(t.Where)
	switch t.Where {
	case SameDistance:
		s = fmt.Sprintf("all at %.0f mm from the face", 1e3*t.Distance)
	case UseDistance:
		s = "each at its own use distance"
	case SameLux:
		s = fmt.Sprintf("each where it gives %s lx", quantity.Digits(t.Lux, 4))
		if t.Distance > 0 {
			s = fmt.Sprintf("each dimmed to %s lx at %.0f mm", quantity.Digits(t.Lux, 4), 1e3*t.Distance)
		}
	case SameLuminance:
		s = fmt.Sprintf("each dimmed to a face of %s cd/m²", quantity.Digits(t.Luminance, 4))
		if t.Distance > 0 {
			s += fmt.Sprintf(", at %.0f mm", 1e3*t.Distance)
		}
	case AsRead, "":
		s = "each as it was read"
	}
	if t.Per != PerLamp {
		s += ", per " + string(t.Per)
	}
	return s
}

// Check refuses terms that say too little; the error is an *InputError.
func (t Terms) Check() error {
	if !slices.Contains([]Where{"", AsRead, SameDistance, UseDistance, SameLux, SameLuminance}, t.Where) {
		return bad("terms.where", fmt.Sprintf("%q", t.Where), "as read, same distance, use distance, same lux or same luminance", "")
	}
	if !slices.Contains([]Per{PerLamp, PerWatt, PerPrice, PerArea, PerMass}, t.Per) {
		return bad("terms.per", fmt.Sprintf("%q", t.Per), "nothing, watt at the plug, price, face area or mass", "")
	}
	between := func(field string, x, lo, hi float64, allowed string) error {
		if x >= lo && x <= hi {
			return nil
		}
		return bad("terms."+field, fmt.Sprintf("%g", x), allowed, "")
	}
	switch t.Where {
	case SameDistance:
		return between("distance_m", t.Distance, 0.02, 20, "20 mm to 20 m")
	case SameLux:
		if t.Distance != 0 {
			if err := between("distance_m", t.Distance, 0.02, 20, "20 mm to 20 m, or none"); err != nil {
				return err
			}
		}
		return between("lux", t.Lux, 1, 1e6, "1 to 1 000 000 lx")
	case SameLuminance:
		return between("luminance_cd_m2", t.Luminance, 1, 1e7, "1 to 10 000 000 cd/m²")
	}
	return nil
}

// InputError says what is wrong with what was asked, what is allowed and how
// to mend it.
type InputError = measure.InputError

func bad(field string, found any, allowed, mend string) error {
	return &InputError{Field: field, Found: fmt.Sprint(found), Allowed: allowed, Mend: mend}
}

// light marks the measures that fall with the distance as the illuminance on
// the axis does.
var light = map[string]bool{predict.MeterLux: true, measure.MeterEDI: true, measure.InitialLux: true}

// dims marks the measures that go down in proportion when a lamp is dimmed.
// Power goes with light to within the supply's losses, which dimming does not
// lower as much.
var dims = map[string]bool{predict.MeterLux: true, measure.MeterEDI: true, measure.InitialLux: true,
	predict.FaceMean: true, predict.FacePeak: true, predict.FluxOut: true, predict.FluxLED: true, predict.FaceExitance: true,
	predict.FaceContrast: true, predict.BlueFace: true, predict.BlueClose: true, predict.StripPower: true, predict.MainsPower: true,
	optics.KeyCentre: true, optics.KeyCorner: true}
