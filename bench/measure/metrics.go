package measure

import "dawnsmith/metric"

// Keys of the measures that only a bench makes. All others carry the keys
// that predictions give them.
const (
	InitialLux   = "initial_illuminance_lx"
	WarmDrop     = "warm_up_drop_percent"
	SettleTime   = "settle_time_min"
	HorizontalE  = "horizontal_illuminance_lx"
	OffAxisE     = "off_axis_illuminance_lx"
	MeterEDI     = "meter_melanopic_edi_lx"
	MeterCLA     = "meter_cla"
	MeterCS      = "meter_cs"
	HotSpotRatio = "face_max_over_mean"
	FallOff      = "fall_off_exponent"
	SupplyVolts  = "supply_voltage_v"
	LampCurrent  = "lamp_current_a"
	RoomTemp     = "air_c"
	PowerFactor  = "power_factor"
	Noise        = "noise_db_a"
)

// Metrics declares the measures that only this package makes.
func Metrics() []metric.Metric {
	const noSource = "common practice, no source"
	return []metric.Metric{
		{Key: InitialLux, Name: "illuminance at switching on", Unit: "lx", Line: "median of the first minute, facing the lamp: it flatters", Source: noSource},
		{Key: WarmDrop, Name: "light lost in warming", Unit: "%", Better: metric.Down, Line: "from the first minute to the settled level, of the first", Source: noSource},
		{Key: SettleTime, Name: "time to settle", Unit: "min", Better: metric.Down, Line: "from switching on to the start of the first window that meets the stability rule", Source: "the rule named beside it"},
		{Key: HorizontalE, Name: "illuminance on the desk", Symbol: "E_h", Unit: "lx", Better: metric.Up, Line: "meter lying flat", Source: "CIE e-ILV 17-21-060"},
		{Key: OffAxisE, Name: "illuminance off the axis", Symbol: "E", Unit: "lx", Better: metric.Up, Line: "meter facing the lamp, away from the face's axis by the angle noted", Source: "CIE e-ILV 17-21-060"},
		{Key: MeterEDI, Name: "melanopic EDI at the meter", Symbol: "E_v,mel^D65", Unit: "lx", Better: metric.Up, Line: "meter facing the lamp", Source: "CIE S 026/E:2018"},
		{Key: MeterCLA, Name: "circadian light at the meter", Symbol: "CLA", Better: metric.Up, Line: "meter facing the lamp, field factor 1", Source: "Rea, Nagare, Figueiro 2021"},
		{Key: MeterCS, Name: "circadian stimulus at the meter", Symbol: "CS", Better: metric.Up, Line: "meter facing the lamp, one hour, field factor 1", Source: "Rea, Nagare, Figueiro 2021"},
		{Key: HotSpotRatio, Name: "hot-spot ratio", Symbol: "L_max/L", Better: metric.Down, Line: "brightest patch of the face over its mean", Source: noSource},
		{Key: FallOff, Name: "fall-off with distance", Symbol: "n", Line: "E ∝ d⁻ⁿ at the distance of use; 2 only far away", Source: "derivative of the finite-source law"},
		{Key: SupplyVolts, Name: "supply voltage at the lamp", Symbol: "U", Unit: "V", Line: "at the lamp's connector, lamp on", Source: "definition"},
		{Key: LampCurrent, Name: "current into the lamp", Symbol: "I", Unit: "A", Line: "in the lead, at the drive set", Source: "definition"},
		{Key: RoomTemp, Name: "air near the lamp", Unit: "°C", Line: "shaded from the lamp's heat", Source: "definition"},
		{Key: PowerFactor, Name: "power factor", Symbol: "λ", Better: metric.Up, Line: "watts over volt-amperes at the plug", Source: "IEC 60050-131-11-46"},
		{Key: Noise, Name: "noise at 0.5 m", Symbol: "L_pA", Unit: "dB(A)", Better: metric.Down, Line: "A-weighted sound pressure level", Source: "ISO 3744"},
	}
}
