package optics_test

import (
	"fmt"
	"math"

	"dawnsmith/lamp/optics"
)

// workBox is an aluminium tray lined with foil, fourteen rows of strip, and a
// film that scatters most of the light into a lobe.
func workBox() optics.Box {
	const deg = math.Pi / 180
	foil := optics.Surface{Reflectance: 0.86, Specular: 0.75}
	b := optics.Box{
		Length: 0.400, Width: 0.300, Height: 0.050,
		Walls: optics.SameWalls(foil), Floor: foil,
		Sheet: optics.Sheet{T: 0.62, R: 0.30, Lobe: 0.6, LobeFWHM: 55 * deg},
	}
	b.Rows = optics.Grid(b.Length, b.Width, 14, 0.020, 22, 0.016667, optics.Row{
		Z: 0.001, Flux: 20, StripWidth: 0.010, StripReflectance: 0.85,
	})
	return b
}

// Where the light goes, and what better walls would bring.
func ExampleThreeSurface() {
	r, err := optics.ThreeSurface(workBox())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f of %.0f lm leave\n", r.Out, r.LEDFlux)
	fmt.Printf("lost: sheet %.0f %%, walls %.0f %%, floor %.0f %%\n", 100*r.AbsorbedSheet, 100*r.AbsorbedWalls, 100*r.AbsorbedFloor)
	fmt.Printf("walls 1 %% better: %.2f %% more light\n", r.Bounces.Walls)
	// Output:
	// 4830 of 6160 lm leave
	// lost: sheet 10 %, walls 6 %, floor 6 %
	// walls 1 % better: 0.34 % more light
}

// The full solution and the light on a meter 0.3 m before the lamp. A photon
// tracer gives 15 002 cd/m², 7 853 in the corner and 13 110 lx for this box.
func ExampleSolve() {
	r, err := optics.Solve(workBox(), optics.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	e, err := r.Illuminance(optics.Target{Position: optics.Vec{Z: 0.3}, Normal: optics.Vec{Z: -1}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("face %.1f kcd/m², corner %.0f %% of the centre\n", r.Face.Mean/1e3, 100*r.Face.Corner/r.Face.Centre)
	fmt.Printf("meter %.1f klx, dots %s\n", e/1e3, optics.Visibility(r.Ripple()))
	// Output:
	// face 15.0 kcd/m², corner 45 % of the centre
	// meter 13.1 klx, dots invisible
}

// Many finishes of one geometry.
func ExamplePrepared_Screen() {
	b := workBox()
	meter := optics.Target{Position: optics.Vec{Z: 0.5}, Normal: optics.Vec{Z: -1}}
	p, err := optics.Prepare(b, nil, meter)
	if err != nil {
		fmt.Println(err)
		return
	}
	own, err := p.Screen(p.Finish(b))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, rho := range []float64{0.80, 0.95} {
		f := p.Finish(b)
		f.Walls.Reflectance, f.Floor.Reflectance = rho, rho
		q, err := p.Screen(f)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("lining %.2f: %+.0f %%\n", rho, 100*(q.Lux[0]/own.Lux[0]-1))
	}
	// Output:
	// lining 0.80: -3 %
	// lining 0.95: +6 %
}

// How far away a face still gives a dose's illuminance.
func ExampleDistanceFor() {
	d, _ := optics.DistanceFor(5000, 12000, 0.6, 0.4)
	fmt.Printf("%.2f m\n", d)
	_, err := optics.DistanceFor(50000, 12000, 0.6, 0.4)
	fmt.Println(err)
	// Output:
	// 0.70 m
	// target illuminance is 5e+04 lx, allowed is over 0, under 3.77e+04 lx, what the face gives at its surface; ask for less light or a brighter face
}
