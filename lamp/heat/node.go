package heat

import (
	"errors"
	"fmt"
	"math"
)

// ErrTooHot says that a temperature left the air table, 250 to 400 K: no lamp
// of this kind lives there.
var ErrTooHot = errors.New("the lamp would be hotter than the models reach (127 °C); use fewer watts, a larger tray or a painted back")

// ErrNotSettled says that a solver did not come to rest.
var ErrNotSettled = errors.New("the heat balance did not settle")

// Result is what a solver found. Temperatures in K, heat flows in W.
type Result struct {
	FloorMean, FloorMax, FloorMin float64
	UnderStripMean                float64 // floor under the strips, mean by area
	StripMean, StripMax           float64 // pad side of the strip: floor plus heat flux times StripResistance
	Pad, Junction                 float64 // LED on the hottest row
	Diffuser                      float64
	BackTouch                     float64 // hottest place of the back
	HotRow                        int     // index in Input.Rows of the hottest strip, -1 without rows

	BackCoefficient     float64 // W/(m²·K), convection at the back
	GapCoefficient      float64 // W/(m²·K), convection across the gap
	DiffuserCoefficient float64 // W/(m²·K), convection at the sheet's outside
	WallCoefficient     float64 // W/(m²·K), convection and radiation at the walls
	WallConductance     float64 // W/(m·K), per metre of floor edge

	BackHeat, WallHeat, FrontHeat float64 // W leaving by back, walls and sheet
	Balance                       float64 // W put in minus W leaving

	// MeanError and MaxError bound |FloorMean| and |FloorMax| against
	// Solve2D, K; what is left on its own grid for Solve2D itself.
	MeanError, MaxError float64
	Rounds              int       // of the outer iteration
	RowStrip            []float64 // K, hottest strip temperature of each row; nil from Node
}

const (
	roughly = 6.0  // K, for a state that only starts the next step
	closely = 0.02 // K; leaves under a millikelvin
)

// body holds what does not change during a solve.
type body struct {
	in           *Input
	area, edge   float64 // m², m
	back, sheet  plate
	wall         plate
	gap          cavity
	radBack      float64 // ε σ, W/(m²K⁴)
	radGap       float64
	radDiffuser  float64
	ambient4     float64
	kt           float64 // W/K
	strip, total float64 // W
}

func newBody(in *Input) body {
	a := in.area()
	b := body{
		in: in, area: a, edge: in.perimeter(),
		back:        newPlate(a, in.SlopeHeight, -in.Elevation),
		sheet:       newPlate(a, in.SlopeHeight, in.Elevation),
		gap:         newCavity(in.Gap, in.SlopeHeight, in.Elevation),
		radBack:     in.EmissivityBack * sigma,
		radGap:      sigma / (1/in.EmissivityFront + 1/in.EmissivityDiffuser - 1),
		radDiffuser: in.EmissivityDiffuser * sigma,
		ambient4:    pow4(in.Ambient),
		kt:          in.Sheet.conductance(),
		strip:       in.stripHeat(),
	}
	if in.WallHeight > 0 {
		b.wall = plate{height: in.WallHeight, ratio: 1, cos: 1}
	}
	b.total = b.strip + in.TrayHeat + in.DiffuserHeat
	return b
}

func pow4(t float64) float64 { return t * t * t * t }

// coefficients are the surface coefficients at one state.
type coefficients struct {
	back, gap, sheet float64 // W/(m²·K), convection
	wall             float64 // W/(m²·K), convection and radiation
	edge             float64 // W/(m·K), wall as seen by the floor's edge
}

// edge gives the wall's coefficient and its conductance per metre of edge at
// a mean floor temperature t: a straight fin with an insulated tip,
// k·t·m·tanh(m·H), m = √(h_w/(k·t)).
//
// Source: Incropera & DeWitt, table 3.4 (adiabatic tip).
func (b *body) edgeAt(t float64) (hw, g float64) {
	if b.in.WallHeight <= 0 {
		return 0, 0
	}
	ta := b.in.Ambient
	mid := (t + ta) / 2
	hw = b.wall.coefficient(t, ta) + 4*b.radBack*mid*mid*mid
	m := math.Sqrt(hw / b.kt)
	return hw, b.kt * m * math.Tanh(m*b.in.WallHeight)
}

func (b *body) coefficients(t, td float64) (c coefficients) {
	ta := b.in.Ambient
	c.back = b.back.coefficient(t, ta)
	c.gap = b.gap.coefficient(t, td)
	c.sheet = b.sheet.coefficient(td, ta)
	c.wall, c.edge = b.edgeAt(t)
	return c
}

// shape tells the node model what it cannot know by itself: how much cooler
// the edge is than the floor's mean, and the floor's spread.
type shape struct {
	edge     float64 // (edge mean - ambient)/(floor mean - ambient)
	variance float64 // K², of the floor's temperature by area
}

// mean4 is the mean of T⁴ over a floor of mean t and the given variance, to
// second order.
func mean4(t, variance float64) float64 { return t * t * (t*t + 6*variance) }

// solveNode finds the mean floor and the sheet temperature from two balances,
//
//	Q_strip + Q_tray = A[h_back(T-Ta) + ε_b σ(T⁴-Ta⁴)] + G·P·(T_edge-Ta) + Q_gap
//	Q_diffuser + Q_gap = A[h_d(Td-Ta) + ε_d σ(Td⁴-Ta⁴)]
//	Q_gap = A[h_gap(T-Td) + σ(T⁴-Td⁴)/(1/ε_f+1/ε_d-1)]
//
// by Newton's method with the power laws of the coefficients in the slope. It
// stops at a step under rest (K); the step shrinks some thirty-fold a round,
// so about a thirtieth of rest is left.
func (b *body) solveNode(s shape, t, td, rest float64) (float64, float64, coefficients, int, error) {
	in, ta, a := b.in, b.in.Ambient, b.area
	floor := b.strip + in.TrayHeat
	var c coefficients
	if b.total == 0 {
		return ta, ta, b.coefficients(ta, ta), 0, nil
	}
	for round := 1; round <= 60; round++ {
		c = b.coefficients(t, td)
		t4, td4 := mean4(t, s.variance), pow4(td)
		gap := a * (c.gap*(t-td) + b.radGap*(t4-td4))
		f1 := floor - a*(c.back*(t-ta)+b.radBack*(t4-b.ambient4)) - c.edge*b.edge*s.edge*(t-ta) - gap
		f2 := in.DiffuserHeat + gap - a*(c.sheet*(td-ta)+b.radDiffuser*(td4-b.ambient4))
		// Convection goes as ΔT^1.25 on plates, up to ΔT^1.3 across the gap.
		gx := a * (1.28*c.gap + 4*b.radGap*t*t*t)
		gy := a * (1.28*c.gap + 4*b.radGap*td*td*td)
		j11 := a*(1.25*c.back+4*b.radBack*t*t*t) + 1.1*c.edge*b.edge*s.edge + gx
		j22 := a*(1.25*c.sheet+4*b.radDiffuser*td*td*td) + gy
		det := j11*j22 - gx*gy
		dx := (f1*j22 + f2*gy) / det
		dy := (f2*j11 + f1*gx) / det
		t, td = t+dx, td+dy
		if !(t < 600 && td < 600 && t > 100 && td > 100) {
			return t, td, c, round, ErrTooHot
		}
		if math.Abs(dx)+math.Abs(dy) < rest {
			return t, td, c, round, nil
		}
	}
	return t, td, c, 60, ErrNotSettled
}

// guess starts the node iteration from total coefficients that fit trays
// within a few kelvin.
func (b *body) guess() (t, td float64) {
	g := b.area*(8.5+6.2*b.in.EmissivityBack) + 9*b.edge*min(b.in.WallHeight, 0.06)
	rise := min(b.total/g, 110)
	return b.in.Ambient + rise, b.in.Ambient + 0.45*rise
}

// flows fills the heat flows and coefficients of r for a floor of the mean r.FloorMean.
func (b *body) flows(r *Result, s shape, c coefficients) {
	ta, t, td := b.in.Ambient, r.FloorMean, r.Diffuser
	r.BackCoefficient, r.GapCoefficient, r.DiffuserCoefficient = c.back, c.gap, c.sheet
	r.WallCoefficient, r.WallConductance = c.wall, c.edge
	r.BackHeat = b.area * (c.back*(t-ta) + b.radBack*(mean4(t, s.variance)-b.ambient4))
	r.WallHeat = c.edge * b.edge * s.edge * (t - ta)
	r.FrontHeat = b.area * (c.sheet*(td-ta) + b.radDiffuser*(pow4(td)-b.ambient4))
	r.Balance = b.total - r.BackHeat - r.WallHeat - r.FrontHeat
}

// finish fills the temperatures that follow from the floor.
func (r *Result) finish(in *Input) {
	r.BackTouch = r.FloorMax
	r.Pad = r.StripMax + in.LED.PadRise
	r.Junction = r.Pad + in.LED.Heat*in.LED.Resistance
}

// checked refuses results outside the air table.
func (r *Result) checked() error {
	if !(r.StripMax <= airHottest && r.Diffuser <= airHottest) {
		return fmt.Errorf("heat: strip at %.0f °C: %w", r.StripMax-273.15, ErrTooHot)
	}
	return nil
}
