package compare

import (
	"fmt"
	"math"
	"slices"

	"dawnsmith/bench/measure"
	"dawnsmith/lamp/part"
	"dawnsmith/lamp/predict"
	"dawnsmith/quantity"
)

// Origin says how an entry's numbers were come by.
type Origin string

// The origins.
const (
	FromPrediction  Origin = "predicted"
	FromMeasurement Origin = "measured"
	FromSeller      Origin = "stated" // by whoever sells it; checked by nobody
)

// Datum is one number of an entry, in its metric's unit.
type Datum struct {
	Value quantity.Value `json:"value"`
	Bound measure.Bound  `json:"bound,omitempty"`
	// Distance belongs to an illuminance, m; 0: none, or not known.
	Distance float64 `json:"distance_m,omitempty"`
	How      string  `json:"how,omitempty"`
}

// Entry is one lamp in a comparison.
type Entry struct {
	ID     string `json:"id"`
	Name   string `json:"name"`
	Origin Origin `json:"origin"`
	// Values are its numbers by metric key; an illuminance may stand there at
	// several distances.
	Values map[string][]Datum `json:"values"`
	// FaceLength and FaceWidth are the sides of the face, m; 0: not known.
	FaceLength float64 `json:"face_length_m,omitempty"`
	FaceWidth  float64 `json:"face_width_m,omitempty"`
	// UseDistance is where the lamp is meant to be used, m; 0: not known.
	UseDistance float64 `json:"use_distance_m,omitempty"`
	// Price is that of the lamp ready for use; PriceBasis says what is in it.
	Price      part.Money `json:"price"`
	PriceBasis string     `json:"price_basis,omitempty"`
	// Statement is what is known about how the numbers were made.
	Statement Statement `json:"statement"`
}

// Add puts a number into the entry.
func (e *Entry) Add(key string, d Datum) {
	if e.Values == nil {
		e.Values = map[string][]Datum{}
	}
	e.Values[key] = append(e.Values[key], d)
}

// nearest is the entry's number of a key that was read closest to a distance,
// by ratio; distance 0 takes the first.
func (e *Entry) nearest(key string, distance float64) (Datum, bool) {
	ds := e.Values[key]
	if len(ds) == 0 {
		return Datum{}, false
	}
	best := ds[0]
	if distance > 0 {
		off := func(d Datum) float64 {
			if d.Distance <= 0 {
				return math.Inf(1)
			}
			return math.Abs(math.Log(d.Distance / distance))
		}
		for _, d := range ds[1:] {
			// An estimate goes before a limit at a like distance.
			if off(d) < off(best)-1e-9 || off(d) < off(best)+0.05 && best.Bound != measure.Estimate && d.Bound == measure.Estimate {
				best = d
			}
		}
	}
	return best, true
}

func (e *Entry) faceKnown() bool { return e.FaceLength > 0 && e.FaceWidth > 0 }

// Predicted is the entry of a predicted lamp.
func Predicted(id string, u predict.Uncertain) Entry {
	place := u.Lamp.Place.WithDefaults()
	e := Entry{
		ID: id, Name: u.Lamp.Name, Origin: FromPrediction,
		FaceLength: u.Numbers[predict.FaceLength] / 1000, FaceWidth: u.Numbers[predict.FaceWidth] / 1000,
		UseDistance: place.EyeDistance,
	}
	for _, key := range sortedKeys(u.Values) {
		d := Datum{Value: u.Values[key], How: "predicted"}
		switch key {
		case predict.MeterLux:
			d.Distance = place.MeterDistance
		case predict.EyeLux, predict.EyeLuxUncut, predict.EyeMelanopic:
			d.Distance = place.EyeDistance
		}
		e.Add(key, d)
	}
	lux, ok1 := u.Values[predict.MeterLux]
	der, ok2 := u.Values[predict.DER]
	if ok1 && ok2 {
		e.Add(measure.MeterEDI, Datum{Value: lux.Mul(der), Distance: place.MeterDistance, How: "predicted"})
	}
	e.Statement = Statement{
		Meter: "none: predicted", Spectrum: spectrumOrigin(u), Place: "on the face's axis, meter facing the lamp",
		Distance: fmt.Sprintf("%.0f mm from the face", 1e3*place.MeterDistance), Room: "dark", WarmUp: "steady state",
		Supply: u.Lamp.Supply.Name, Units: "0: not built", Uncertainty: "from the parts, k = 2",
	}
	return e
}

func spectrumOrigin(u predict.Uncertain) string {
	s := ""
	for i, c := range u.Channels {
		if i > 0 {
			s += "; "
		}
		s += c.Origin
	}
	return s
}

// Measured is the entry of a measured unit, from its record (or the merged
// records of all its runs).
func Measured(id string, r measure.Record) Entry {
	c := r.Conditions
	e := Entry{ID: id, Name: r.Subject.Name, Origin: FromMeasurement, FaceLength: c.FaceLength, FaceWidth: c.FaceWidth}
	if e.Name == "" {
		e.Name = r.Subject.String()
	}
	for _, m := range r.Values {
		e.Add(m.Key, Datum{Value: m.Value, Bound: m.Bound, Distance: m.Distance, How: m.How})
	}
	e.Statement = statementOf(r)
	return e
}

// Stated is the entry of a lamp as its seller states it: numbers by metric key
// without uncertainty, and the distance of the illuminance, m (0: not stated).
func Stated(id, name string, numbers map[string]float64, distance float64) Entry {
	e := Entry{ID: id, Name: name, Origin: FromSeller}
	for _, key := range sortedKeys(numbers) {
		d := Datum{Value: quantity.Exact(numbers[key]), How: "stated by the seller"}
		if light[key] {
			d.Distance = distance
		}
		e.Add(key, d)
	}
	return e
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
