package optics

import "dawnsmith/metric"

// Keys of the measures that only this package makes; flux, exitance, mean and
// peak luminance, illuminances, losses and ripple are declared where a whole
// lamp is predicted.
const (
	KeyEvenness     = "face_min_over_mean"
	KeyCentre       = "face_centre_luminance_cd_m2"
	KeyCorner       = "face_corner_luminance_cd_m2"
	KeyDirect       = "face_direct_share"
	KeyRimRipple    = "ripple_rim"
	KeyPerArea      = "illuminance_per_area_lx_m2"
	KeyEqualLight   = "equal_light_distance_m"
	KeyDayLight     = "melanopic_250_distance_m"
	KeySessionLight = "session_light_distance_m"
	KeyFarField     = "far_field_distance_m"
	KeyEccentricity = "eye_eccentricity_deg"
	KeySolidAngle   = "face_solid_angle_sr"
	KeyUGR          = "ugr"
	KeyDGP          = "dgp"
	KeyNearest      = "usable_nearest_m"
	KeyFarthest     = "usable_farthest_m"
	KeySideways     = "usable_sideways_m"
	KeyBounceWalls  = "bounces_walls"
	KeyBounceFloor  = "bounces_floor"
	KeyBounceSheet  = "bounces_sheet"
)

// Metrics declares the measures of face and eye that only this package makes.
func Metrics() []metric.Metric {
	const (
		radiosity = "radiosity: Howell, Mengüç, Daun, Siegel, Thermal Radiation Heat Transfer"
		luminance = "CIE S 017:2020, luminance"
		noSource  = "common practice, no source"
	)
	return []metric.Metric{
		{Key: KeyEvenness, Name: "evenness of the face", Symbol: "L_min/L", Better: metric.Up, Line: "darkest 5 mm cell over the mean", Source: noSource},
		{Key: KeyCentre, Name: "luminance of the face's centre", Unit: "cd/m²", Line: "seen squarely", Source: luminance},
		{Key: KeyCorner, Name: "luminance of the face's corner", Unit: "cd/m²", Line: "seen squarely, 2.5 mm in from both edges", Source: luminance},
		{Key: KeyDirect, Name: "direct share at the centre", Better: metric.Neither, Line: "share of the centre's luminance that came from the LEDs without a diffuse bounce", Source: radiosity},
		{Key: KeyRimRipple, Name: "ripple near the rim", Symbol: "C", Better: metric.Down, Line: "as ripple, as near the edges as whole LED periods fit", Source: "Michelson contrast"},
		{Key: KeyPerArea, Name: "illuminance per face area", Unit: "lx/m²", Better: metric.Up, Line: "lux at the stated distance over the face's area, as testers quote it; neither exitance nor glare", Source: noSource},
		{Key: KeyEqualLight, Name: "distance for the target light", Symbol: "d", Unit: "m", Better: metric.Up, Line: "how far before the face's centre the target illuminance reaches", Source: "Lambert's contour formula"},
		{Key: KeyDayLight, Name: "distance with 250 lx melanopic EDI", Symbol: "d_250", Unit: "m", Better: metric.Up, Line: "straight before the face's centre, eye turned to it, no brow, no room light: the least advised throughout the day", Source: "Brown et al., PLoS Biol. 20 (2022) e3001571; light summed over the face"},
		{Key: KeySessionLight, Name: "distance with 10 000 lx", Symbol: "d_10k", Unit: "m", Better: metric.Up, Line: "straight before the face's centre, meter turned to it; missing where the face does not reach it 50 mm before the sheet", Source: "the tested session of 30 min at 10 000 lx; light summed over the face"},
		{Key: KeyFarField, Name: "inverse square from", Unit: "m", Line: "from here on I/d² reads less than 5 % too high on the axis of an even face of this size; nearer, scale no lux by the square of the distance", Source: "Lambert's contour formula"},
		{Key: KeyEccentricity, Name: "eccentricity of the face", Unit: "°", Line: "its centre off the line of sight", Source: "geometry"},
		{Key: KeySolidAngle, Name: "solid angle of the face in view", Symbol: "ω", Unit: "sr", Line: "how large the face looks from the eye", Source: "CIE S 017:2020, solid angle"},
		{Key: KeyUGR, Name: "unified glare rating", Symbol: "UGR", Better: metric.Down, Line: "compares faces of the same size only; near a lamp outside the range of CIE 117", Source: "CIE 117:1995; position index Levin 1975 (from memory)"},
		{Key: KeyDGP, Name: "daylight glare probability", Symbol: "DGP", Better: metric.Down, Line: "second opinion for large sources, indicative", Source: "Wienold & Christoffersen 2006, Energy and Buildings 38, 743 (from memory)"},
		{Key: KeyNearest, Name: "nearest place with the target light", Unit: "m", Better: metric.Down, Line: "horizontal distance of the eye, lamp as hung", Source: "definition"},
		{Key: KeyFarthest, Name: "farthest place with the target light", Unit: "m", Better: metric.Up, Line: "horizontal distance of the eye, lamp as hung", Source: "definition"},
		{Key: KeySideways, Name: "room to the side with the target light", Unit: "m", Better: metric.Up, Line: "how far the eye may move from the lamp's middle", Source: "definition"},
		{Key: KeyBounceWalls, Name: "bounces on the walls", Symbol: "N_w", Line: "per cent of light lost per per cent of wall reflectance lost", Source: radiosity},
		{Key: KeyBounceFloor, Name: "bounces on the floor", Symbol: "N_f", Line: "per cent of light lost per per cent of floor reflectance lost", Source: radiosity},
		{Key: KeyBounceSheet, Name: "bounces on the sheet", Symbol: "N_s", Line: "per cent of light gained per per cent of sheet reflectance at the same transmittance", Source: radiosity},
	}
}
