package form

import (
	"slices"

	"dawnsmith/lamp/brief"
	"dawnsmith/quantity"
)

// wantedFields are the limits of a brief.
func wantedFields() []Field {
	f := func(key, name, hint string, d quantity.Dimension) Field {
		return Field{Key: "wanted." + key, Name: name, Hint: hint, Kind: Amount, Dim: d, Optional: true}
	}
	return []Field{
		f("meter_illuminance_min", "illuminance at the meter, at least", "meter facing the lamp, mean over its disc", quantity.Illuminance),
		f("eye_melanopic_edi_min", "melanopic EDI at the eye, at least", "vertical plane, gaze as above", quantity.Illuminance),
		f("face_mean_luminance_max", "mean luminance of the face, at most", "what dazzles", quantity.Luminance),
		f("ripple_max", "ripple of the face, at most", "rows show above 3 %", quantity.Ratio),
		f("cct_min", "colour temperature, at least", "", quantity.ColourTemperature),
		f("cct_max", "colour temperature, at most", "", quantity.ColourTemperature),
		f("ra_min", "colour rendering Ra, at least", "", quantity.Number),
		f("tray_length_max", "length of the tray, at most", "inside", quantity.Length),
		f("tray_depth_max", "depth of the tray, at most", "", quantity.Length),
		f("mains_power_max", "mains power, at most", "", quantity.Power),
		f("mass_max", "mass of the hanging lamp, at most", "", quantity.Mass),
		{Key: "wanted.first_lamp_price_max", Name: "price of the first lamp, at most", Hint: "without tools", Kind: Price, Optional: true},
	}
}

func briefFields() []Field {
	return slices.Concat([]Field{
		{Key: "name", Name: "name", Kind: Text},
		{Key: "note", Name: "note", Kind: Text, Optional: true},
		{Key: "session", Name: "used each day for", Hint: "compared with the minutes the light asks for", Kind: Amount, Dim: quantity.Time, Optional: true},
	}, placeFields(), wantedFields())
}

// Brief is the desk for briefs.
func Brief() *Desk[brief.Brief] {
	fields := briefFields()
	return &Desk[brief.Brief]{
		Fields: func(brief.Brief) []Field { return fields },
		Check:  func(b brief.Brief) error { return b.Check() },
	}
}
