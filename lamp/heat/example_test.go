package heat_test

import (
	"fmt"
	"math"

	"dawnsmith/lamp/heat"
)

// A tray of 0.5 mm stainless steel with four rows, facing the desk 30° down:
// the strip, and what a painted back would do.
func ExampleSeries() {
	shares, err := heat.Split(heat.Light{Electrical: 30, Efficacy: 120, LER: 320, Escaping: 0.75, InDiffuser: 0.05})
	if err != nil {
		fmt.Println(err)
		return
	}
	in := heat.Input{
		Length: 0.38, Width: 0.28,
		Sheet:    heat.Sheet{Thickness: 0.0005, Conductivity: 15},
		TrayHeat: shares.Tray, DiffuserHeat: shares.Diffuser,
		Ambient: 295.15, EmissivityBack: 0.2, EmissivityFront: 0.85, EmissivityDiffuser: 0.9,
		Elevation: -30 * math.Pi / 180, SlopeHeight: 0.28, Gap: 0.03, WallHeight: 0.025,
		StripResistance: heat.DefaultStripResistance,
	}
	for i := range 4 {
		in.Rows = append(in.Rows, heat.Row{Y: 0.035 + 0.07*float64(i), X0: 0.015, X1: 0.365, Width: 0.01, Heat: shares.Strip / 4})
	}
	plain, err := heat.Series(&in)
	if err != nil {
		fmt.Println(err)
		return
	}
	in.EmissivityBack = 0.9
	painted, err := heat.Series(&in)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f W of heat; painting the back cools the hottest strip by %.0f K\n", shares.Total, plain.StripMax-painted.StripMax)
	// Output:
	// 21.6 W of heat; painting the back cools the hottest strip by 6 K
}
