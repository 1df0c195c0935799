package predict

import (
	"slices"

	"dawnsmith/lamp/optics"
	"dawnsmith/light/assay"
	"dawnsmith/light/flicker"
	"dawnsmith/metric"
)

// The keys of the numbers that this package adds to those of light/assay.
const (
	MeterLux      = "meter_illuminance_lx"
	EyeLux        = "eye_illuminance_lx"
	EyeLuxUncut   = "eye_illuminance_uncut_lx"
	EyeMelanopic  = "eye_melanopic_edi_lx"
	EyeElevation  = "eye_elevation_deg"
	FaceMean      = "face_mean_luminance_cd_m2"
	FacePeak      = "face_peak_luminance_cd_m2"
	FaceContrast  = "face_surround_ratio"
	FaceExitance  = "face_exitance_lm_m2"
	FluxLED       = "flux_led_lm"
	FluxOut       = "flux_out_lm"
	BoxShare      = "box_efficiency"
	LostFloor     = "lost_floor"
	LostWalls     = "lost_walls"
	LostSheet     = "lost_sheet"
	Ripple        = "ripple"
	DotRatio      = "dot_ratio"
	StripPower    = "strip_power_w"
	SupplyCurrent = "supply_current_a"
	SupplyLoad    = "supply_load_w"
	SupplyNeeded  = "supply_needed_w"
	MainsPower    = "mains_power_w"
	MainsEfficacy = "mains_efficacy_lm_w"
	CopperLoss    = "copper_loss_w"
	Evenness      = "unit_current_min_over_max"
	LeadDrop      = "voltage_drop_v"
	LampHeat      = "lamp_heat_w"
	HeatFactor    = "heat_by_reading"
	StripTemp     = "strip_max_c"
	JunctionTemp  = "junction_c"
	BackTemp      = "back_touch_c"
	FloorTemp     = "floor_mean_c"
	SheetTemp     = "sheet_c"
	FluxShare     = "warm_flux_share"
	LampMass      = "lamp_mass_kg"
	FaceLength    = "face_length_mm"
	FaceWidth     = "face_width_mm"
	TrayDepth     = "tray_depth_mm"
	StripMetres   = "strip_length_m"
	BlueFace      = "blue_radiance_face_w_m2_sr"
	BlueClose     = "blue_radiance_200mm_w_m2_sr"
	CCT           = "cct_k"
	Duv           = "duv"
	Ra            = "ra"
	DER           = "der_mel"
	BlueEfficacy  = "kbv_mw_lm"
)

func declare(key, name, symbol, unit string, better metric.Better, line, source string) metric.Metric {
	return metric.Metric{Key: key, Name: name, Symbol: symbol, Unit: unit, Better: better, Line: line, Source: source}
}

var own = []metric.Metric{
	declare(MeterLux, "illuminance at the meter", "E", "lx", metric.Up, "mean over a small meter that faces the lamp on the face's axis, no room light", "CIE e-ILV 17-21-060; light through the face from LEDs, walls and floor: lamp/optics"),
	declare(EyeLux, "illuminance at the eye", "E_v", "lx", metric.Up, "vertical plane at the eye for the brief's gaze, light above the brow left out, no room light", "CIE S 026:2018 (field of view limits from memory)"),
	declare(EyeLuxUncut, "illuminance at the eye, brow ignored", "", "lx", metric.Up, "as an eye-level meter without a brow would read", "as illuminance at the eye"),
	declare(EyeMelanopic, "melanopic EDI at the eye", "E_v,mel^D65", "lx", metric.Up, "daylight illuminance that would stimulate melanopsin as much, at the eye, brow cut", "CIE S 026:2018"),
	declare(EyeElevation, "elevation of the face's centre", "", "°", metric.Neither, "above the level line from the eye", "geometry"),
	declare(FaceMean, "mean luminance of the face", "L", "cd/m²", metric.Down, "over the whole face, seen squarely: what dazzles", "CIE e-ILV 17-21-050"),
	declare(FacePeak, "peak luminance of the face", "L_max", "cd/m²", metric.Down, "the brightest small patch, spots included, single unscattered chips not", "as mean luminance"),
	declare(FaceContrast, "face to surround", "", "", metric.Down, "mean luminance of the face over that around it", "common practice: 3:1 near and 10:1 far are advised for ordinary work, a bright lamp always exceeds it"),
	declare(FaceExitance, "luminous exitance of the face", "M", "lm/m²", metric.Neither, "flux out of the face per area", "CIE e-ILV 17-21-081"),
	declare(FluxLED, "flux of the LEDs in the lamp", "Φ", "lm", metric.Up, "warm and after wiring losses, before lining and sheet", "strip law Φ ∝ I^0.95"),
	declare(FluxOut, "flux out of the face", "Φ_out", "lm", metric.Up, "what leaves through the sheet", "radiosity in the box"),
	declare(BoxShare, "share of the light that leaves", "η", "", metric.Up, "flux out over flux of the LEDs", "radiosity in the box"),
	declare(LostFloor, "light lost on the floor", "", "", metric.Down, "share of the LEDs' flux", "radiosity in the box"),
	declare(LostWalls, "light lost on the walls", "", "", metric.Down, "share of the LEDs' flux", "radiosity in the box"),
	declare(LostSheet, "light lost in the sheet", "", "", metric.Down, "share of the LEDs' flux", "radiosity in the box"),
	declare(Ripple, "ripple of the face", "C", "", metric.Down, "(max − min)/(max + min) of the spots at the centre, slow fall-off taken out", "Michelson contrast"),
	declare(ColourStripe, "stripes of two colours", "Δu′v′", "", metric.Down, "colour over a row of one strip to that over a row of the other, where two take turns", "distance in CIE 1976 u′v′"),
	declare(DotRatio, "chip seen through the sheet", "", "", metric.Down, "luminance of an LED seen unscattered over that of the face", "definition"),
	declare(StripPower, "power in the strips", "P", "W", metric.Down, "warm, at the drive set", "ladder network"),
	declare(SupplyCurrent, "supply current", "I", "A", metric.Down, "warm, every channel full on: what wire and fuse must carry", "ladder network"),
	declare(SupplyLoad, "load on the supply", "", "W", metric.Down, "its voltage times the warm current, every channel full on", "ladder network"),
	declare(SupplyNeeded, "supply rating asked for", "", "W", metric.Down, "the larger of label and predicted upper bound, and a fifth more", "common practice, no source"),
	declare(MainsPower, "mains power", "", "W", metric.Down, "at the plug, at the drive set", "load over the supply's efficiency"),
	declare(MainsEfficacy, "efficacy at the plug", "η_v", "lm/W", metric.Up, "flux out of the face over mains power", "CIE e-ILV 17-21-089"),
	declare(CopperLoss, "power lost in copper", "", "W", metric.Down, "lead, bus wires, rails, joints", "ladder network"),
	declare(Evenness, "least over greatest unit current", "", "", metric.Up, "1 is perfectly even", "ladder network"),
	declare(LeadDrop, "voltage lost before the worst unit", "", "V", metric.Down, "supply voltage less that of the unit with least", "ladder network"),
	declare(LampHeat, "heat in the lamp", "", "W", metric.Down, "strip power less the light that leaves", "energy balance"),
	declare(StripTemp, "hottest strip", "", "°C", metric.Down, "board under the hottest LED, steady state", "plate with discrete rows"),
	declare(JunctionTemp, "LED junction", "T_j", "°C", metric.Down, "the hottest, steady state", "pad temperature and thermal resistance"),
	declare(BackTemp, "back of the tray", "", "°C", metric.Down, "the hottest place that can be touched", "plate with discrete rows"),
	declare(HeatFactor, "heat as the reading has it", "", "", metric.Neither, "heat that the measured temperature asks for over the predicted one", "measured temperature in the lamp file"),
	declare(FloorTemp, "tray floor, mean", "", "°C", metric.Down, "steady state", "energy balance of floor, walls, sheet"),
	declare(SheetTemp, "sheet", "", "°C", metric.Down, "steady state", "energy balance of floor, walls, sheet"),
	declare(FluxShare, "warm over cold flux", "", "", metric.Up, "flux at steady state over that of the same lamp at 25 °C", "strip law"),
	declare(LampMass, "mass of the hanging lamp", "m", "kg", metric.Down, "tray, sheet, strips, lining, wire; supply and mount not counted", "sum of parts"),
	declare(FaceLength, "length of the face", "", "mm", metric.Neither, "inner floor of the tray, longer side", "geometry"),
	declare(FaceWidth, "width of the face", "", "mm", metric.Neither, "inner floor of the tray, shorter side", "geometry"),
	declare(TrayDepth, "depth of the tray", "", "mm", metric.Neither, "floor to rim", "geometry"),
	declare(StripMetres, "strip in the lamp", "", "m", metric.Down, "all rows together", "geometry"),
	declare(BlueFace, "blue-light radiance of the face", "L_B", "W/(m² sr)", metric.Down, "the brightest part of the face, 100 mrad cone at the eye's distance; below 100 is exempt", "IEC 62471:2006 table 6.1"),
	declare(BlueClose, "blue-light radiance close up", "L_B", "W/(m² sr)", metric.Down, "11 mrad cone at 200 mm on the brightest spot, unscattered chips included; below 100 is exempt", "IEC 62471:2006 table 6.1"),
}

// Metrics declares every number of a prediction: this package's own, then
// those that light/assay takes of the light at the eye, then those of light that
// varies in time.
func Metrics() []metric.Metric {
	return slices.Concat(own, optics.Metrics(), assay.Metrics(), flicker.Metrics())
}

// Declared finds a metric by key; false when there is none.
func Declared(key string) (metric.Metric, bool) {
	all := Metrics()
	if i := slices.IndexFunc(all, func(m metric.Metric) bool { return m.Key == key }); i >= 0 {
		return all[i], true
	}
	return metric.Metric{}, false
}
