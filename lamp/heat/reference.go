package heat

import "fmt"

// TrayCase is a tray as the reference files of format tray-heat-cases/1 write
// it: millimetres, degrees Celsius and angles in degrees.
type TrayCase struct {
	ID                 string     `json:"id"`
	Title              string     `json:"title"`
	Floor              [2]float64 `json:"floor_mm"`
	Thickness          float64    `json:"thickness_mm"`
	Conductivity       float64    `json:"k_W_mK"`
	StripWidth         float64    `json:"strip_width_mm"`
	RowLength          float64    `json:"row_length_mm"`
	RowOffset          float64    `json:"row_offset_mm"`
	RowY               []float64  `json:"row_y_mm"`
	Heat               float64    `json:"heat_W"`
	HeatInDiffuser     float64    `json:"heat_in_diffuser_W"`
	Ambient            float64    `json:"ambient_C"`
	EmissivityBack     float64    `json:"emissivity_back"`
	EmissivityFront    float64    `json:"emissivity_front"`
	EmissivityDiffuser float64    `json:"emissivity_diffuser"`
	SlopeHeight        float64    `json:"slope_height_mm"`
	FrontElevation     float64    `json:"front_elevation_deg"`
	Gap                float64    `json:"gap_mm"`
	WallHeight         float64    `json:"wall_height_mm"`
	AdhesiveR          float64    `json:"adhesive_r_m2K_W"`
}

// Input turns the case into SI.
func (c *TrayCase) Input() Input {
	const mm, deg, zero = 1e-3, 0.017453292519943295, 273.15
	in := Input{
		Length: c.Floor[0] * mm, Width: c.Floor[1] * mm,
		Sheet:        Sheet{Thickness: c.Thickness * mm, Conductivity: c.Conductivity},
		DiffuserHeat: c.HeatInDiffuser, Ambient: c.Ambient + zero,
		EmissivityBack: c.EmissivityBack, EmissivityFront: c.EmissivityFront, EmissivityDiffuser: c.EmissivityDiffuser,
		Elevation: c.FrontElevation * deg, SlopeHeight: c.SlopeHeight * mm, Gap: c.Gap * mm,
		WallHeight: c.WallHeight * mm, StripResistance: c.AdhesiveR,
	}
	middle := (c.Floor[0]/2 + c.RowOffset) * mm
	for _, y := range c.RowY {
		in.Rows = append(in.Rows, Row{
			Y: y * mm, X0: middle - c.RowLength/2*mm, X1: middle + c.RowLength/2*mm,
			Width: c.StripWidth * mm, Heat: c.Heat / float64(len(c.RowY)),
		})
	}
	return in
}

// Compute solves the case with [Solve2D] and returns the results under the
// reference file's own keys.
func (c *TrayCase) Compute() (map[string]float64, error) {
	in := c.Input()
	r, _, err := Solve2D(&in)
	if err != nil {
		return nil, fmt.Errorf("tray case %s: %w", c.ID, err)
	}
	const zero = 273.15
	return map[string]float64{
		"floor_max_C": r.FloorMax - zero, "floor_mean_C": r.FloorMean - zero, "floor_min_C": r.FloorMin - zero,
		"under_strip_mean_C": r.UnderStripMean - zero, "strip_rise_over_floor_K": r.StripMean - r.UnderStripMean,
		"strip_max_C": r.StripMax - zero, "diffuser_C": r.Diffuser - zero,
		"h_back": r.BackCoefficient, "h_gap": r.GapCoefficient, "h_diffuser": r.DiffuserCoefficient,
		"h_wall_total": r.WallCoefficient,
		"q_back_W":     r.BackHeat, "q_wall_W": r.WallHeat, "q_front_W": r.FrontHeat, "balance_W": r.Balance,
	}, nil
}
