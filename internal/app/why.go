package app

import (
	"dawnsmith/lamp/optics"
	"dawnsmith/lamp/predict"
	"dawnsmith/lamp/search"
)

// Reason says how a number is made.
type Reason struct {
	// Formula is in words and signs, for people.
	Formula string
	// Inputs are the keys of the numbers that go into it.
	Inputs []string
}

// reasons stand for the numbers of one lamp; a number without one is a
// definition that its source gives whole.
var reasons = map[string]Reason{
	predict.FluxLED:        {"Φ = Σ over the cut units of label flux × (I / I₀)^0.95 × warm share", []string{predict.StripPower, predict.JunctionTemp, predict.FluxShare}},
	predict.FluxOut:        {"Φ_out = Φ × η", []string{predict.FluxLED, predict.BoxShare}},
	predict.BoxShare:       {"η = 1 − lost on the floor − on the walls − in the sheet", []string{predict.LostFloor, predict.LostWalls, predict.LostSheet}},
	predict.FaceExitance:   {"M = Φ_out / area of the face", []string{predict.FluxOut, predict.FaceLength, predict.FaceWidth}},
	predict.FaceMean:       {"L is the mean over the face of what each patch sends out squarely; M / π when the sheet scatters evenly", []string{predict.FaceExitance}},
	predict.FacePeak:       {"L_max = luminance of the brightest place × (1 + ripple)", []string{optics.KeyCentre, predict.Ripple}},
	predict.FaceContrast:   {"L / luminance around the lamp", []string{predict.FaceMean}},
	predict.MeterLux:       {"E = Σ over the face of L cos θ cos θ′ ΔA / d²", []string{predict.FaceMean, predict.FaceLength, predict.FaceWidth}},
	predict.EyeLux:         {"E_v as at the meter, in the vertical plane of the eye, without the part above the brow", []string{predict.FaceMean, predict.EyeElevation, predict.EyeLuxUncut}},
	predict.EyeMelanopic:   {"E_mel = E_v × melanopic daylight efficacy ratio", []string{predict.EyeLux, predict.DER}},
	"minutes_photopic":     {"t = 30 min × 10 000 lx / E, between the tested 2 500 lx and 10 000 lx", []string{predict.MeterLux}},
	"minutes_melanopic":    {"t = 30 min × (10 000 lx × 0.564) / (E × melanopic ratio)", []string{predict.MeterLux, predict.DER}},
	optics.KeyDayLight:     {"d at which E(d) × melanopic ratio = 250 lx on the face's axis", []string{predict.FaceMean, predict.DER, predict.FaceLength, predict.FaceWidth}},
	optics.KeySessionLight: {"d at which E(d) = 10 000 lx on the face's axis", []string{predict.FaceMean, predict.FaceLength, predict.FaceWidth}},
	optics.KeyFarField:     {"d at which (L A / d²) / E(d) = 1.05 for an even face", []string{predict.FaceLength, predict.FaceWidth}},
	optics.KeyUGR:          {"8 log₁₀(0.25 / L_b × Σ L² ω / p²), L_b the luminance around the lamp, p by the angle to the line of sight", []string{predict.FaceMean, optics.KeySolidAngle, predict.EyeElevation}},
	optics.KeyDGP:          {"5.87e-5 E + 0.0918 log₁₀(1 + Σ L² ω / (E^1.87 p²)) + 0.16, E the light at the eye and the room's", []string{predict.EyeLux, predict.FaceMean, optics.KeySolidAngle}},
	optics.KeyEvenness:     {"darkest 5 mm cell / mean", []string{optics.KeyCorner, predict.FaceMean}},
	predict.DotRatio:       {"unscattered share × intensity of a chip / its area / L", []string{predict.FluxLED, predict.FaceMean}},
	predict.BlueFace:       {"L_B = L × blue part of the light", []string{predict.FacePeak, predict.BlueEfficacy}},
	predict.BlueClose:      {"L_B = (L_max + unscattered chips within 11 mrad) × blue part of the light", []string{predict.FacePeak, predict.DotRatio, predict.BlueEfficacy}},
	predict.StripPower:     {"P = Σ over the cut units of U × I, from the ladder of copper and units at its warm temperatures", []string{predict.SupplyCurrent, predict.StripTemp}},
	predict.SupplyLoad:     {"supply voltage × I", []string{predict.SupplyCurrent}},
	predict.SupplyNeeded:   {"1.2 × the larger of label watts and predicted upper bound", []string{predict.SupplyLoad, predict.StripMetres}},
	predict.MainsPower:     {"(strips + copper + inside the supply) / efficiency of the supply", []string{predict.StripPower, predict.CopperLoss}},
	predict.MainsEfficacy:  {"η_v = Φ_out / mains power", []string{predict.FluxOut, predict.MainsPower}},
	predict.LampHeat:       {"strip power − light that leaves (in watts) + copper inside", []string{predict.StripPower, predict.FluxOut, predict.CopperLoss}},
	predict.FloorTemp:      {"air + heat × what the tray resists: floor, walls and sheet give it off by convection and radiation", []string{predict.LampHeat}},
	predict.StripTemp:      {"floor under the row + heat of a row × resistance of board and tape + rise at the pad", []string{predict.FloorTemp, predict.LampHeat}},
	predict.JunctionTemp:   {"T_j = pad + heat of an LED × its thermal resistance", []string{predict.StripTemp}},
	predict.SheetTemp:      {"balance of what the sheet absorbs, gets from inside and gives off", []string{predict.LostSheet, predict.FloorTemp}},
	predict.BackTemp:       {"hottest place of the tray's outside", []string{predict.FloorTemp}},
	predict.FluxShare:      {"1 + coefficient × (junction − 25 °C), and what warm strips draw", []string{predict.JunctionTemp}},
	search.PriceFirst:      {"Σ price × whole packs for one lamp", []string{predict.StripMetres}},
	search.PriceNext:       {"cost of two lamps − cost of one", []string{search.PriceFirst}},
}

// Why says how a number is made and from which others; false for one that its
// source defines whole.
func Why(key string) (Reason, bool) {
	r, ok := reasons[key]
	return r, ok
}
