package circuit

import (
	"errors"
	"fmt"
	"math"
)

// ErrOutsideTable says that a row's voltage left the range of its table; use
// Folded or Solve for that lamp.
var ErrOutsideTable = errors.New("row voltage outside its table")

// tableCells is the number of cells of a RowTable. With 64 a diode row is
// right to about 1e-9 of its current; a regulated row bends more sharply.
const tableCells = 128

// RowTable is the current of one whole row against the voltage between its two
// tapped pads, tabulated once so that a search need not look inside the row.
// It does not change after it is made and may be shared.
type RowTable struct {
	lo, hi, perV float64
	cap          float64 // V
	cell         []cell
}

// cell is a piece of the table: cubics in t from 0 to 1, current (with exact
// slopes at its ends), dimmest and brightest unit, unit power, relative flux.
type cell struct{ i, low, high, power, flux [4]float64 }

func cubic(c *[4]float64, t float64) float64 { return ((c[3]*t+c[2])*t+c[1])*t + c[0] }

// RowState is what a row does at one voltage.
type RowState struct {
	Current   float64 // A
	Low, High float64 // A, dimmest and brightest unit
	UnitPower float64 // W
	Flux      float64 // sum over units of RelativeFlux at the unit's nominal current
}

// RowNeed describes the row to tabulate.
type RowNeed struct {
	Unit     Unit
	Units    int
	RUnit    float64 // Ω per unit length, one rail
	Tap      float64 // Ω at each of the two tapped pads
	JointR   float64 // Ω per rail
	Joints   []int   // units before which there is a joint
	Opposite bool    // minus tapped at the other end than plus
	Lo, Hi   float64 // V, range; 0 means 0.6 and 1.1 of the unit's nominal voltage
}

// NewRowTable solves the row at every voltage of its table.
func NewRowTable(in RowNeed) (*RowTable, error) {
	if in.Lo == 0 {
		in.Lo = 0.6 * in.Unit.VNom
	}
	if in.Hi == 0 {
		in.Hi = 1.1 * in.Unit.VNom
	}
	if !(in.Lo > 0 && in.Hi > in.Lo && in.Hi < 60) {
		return nil, fmt.Errorf("row table: from %g V to %g V; allowed: rising, between 0 and 60 V", in.Lo, in.Hi)
	}
	if in.Units < 1 || in.Units > 1000 {
		return nil, fmt.Errorf("row table: %d units; allowed: 1 to 1000", in.Units)
	}
	at, limit, err := in.solver()
	if err != nil {
		return nil, fmt.Errorf("row table: %w", err)
	}
	h := (in.Hi - in.Lo) / tableCells
	t := &RowTable{lo: in.Lo, hi: in.Hi, perV: 1 / h, cap: limit, cell: make([]cell, tableCells)}
	const dv = 1e-4
	var left, left2 RowState
	for k := range tableCells + 1 {
		v := in.Lo + float64(k)*h
		here, err := at(v)
		if err != nil {
			return nil, fmt.Errorf("row table at %g V: %w", v, err)
		}
		beside, err := at(v - dv)
		if err != nil {
			return nil, fmt.Errorf("row table at %g V: %w", v, err)
		}
		if k > 0 {
			c := &t.cell[k-1]
			for _, q := range []struct {
				to           *[4]float64
				a, a2, b, b2 float64
			}{
				{&c.i, left.Current, left2.Current, here.Current, beside.Current},
				{&c.low, left.Low, left2.Low, here.Low, beside.Low},
				{&c.high, left.High, left2.High, here.High, beside.High},
				{&c.power, left.UnitPower, left2.UnitPower, here.UnitPower, beside.UnitPower},
				{&c.flux, left.Flux, left2.Flux, here.Flux, beside.Flux},
			} {
				// Hermite: values and slopes at both ends.
				da, db := (q.a-q.a2)/dv*h, (q.b-q.b2)/dv*h
				*q.to = [4]float64{q.a, da, 3*(q.b-q.a) - 2*da - db, 2*(q.a-q.b) + da + db}
			}
		}
		left, left2 = here, beside
	}
	return t, nil
}

// solver gives the state of the row over its voltage and the step its law
// allows. A row tapped at one end folds.
func (in *RowNeed) solver() (at func(v float64) (RowState, error), limit float64, err error) {
	var run func(v float64) (ui, uv []float64, err error)
	if in.Opposite {
		row := Row{RUnit: in.RUnit}
		for range in.Units {
			row.Units = append(row.Units, in.Unit)
		}
		for _, k := range in.Joints {
			row.Joints = append(row.Joints, Joint{k, in.JointR})
		}
		n := &Network{VOC: in.Hi, Rows: []Row{row}, Feeds: []Feed{{PosAt: PadNode(0, LeftPlus), NegAt: PadNode(0, RightMinus), RPos: in.Tap, RNeg: in.Tap}}}
		s, err := Compile(n)
		if err != nil {
			return nil, 0, err
		}
		limit = s.laws[0].cap
		run = func(v float64) ([]float64, []float64, error) {
			if err := s.SetSupply(v); err != nil {
				return nil, nil, err
			}
			err := s.Run()
			return s.ui, s.uv, err
		}
	} else {
		if err := in.Unit.Validate(); err != nil {
			return nil, 0, err
		}
		f := NewFolded(1, in.Units)
		l := FoldedLamp{Tap: in.Tap, RUnit: in.RUnit, JointR: in.JointR, Joints: [][]int{in.Joints}, Units: []int{in.Units}, Channels: [2]*Unit{&in.Unit}}
		run = func(v float64) ([]float64, []float64, error) {
			l.VOC = v
			_, err := f.Solve(&l)
			return f.ui, f.uv, err
		}
		law := in.Unit.curve()
		limit = law.cap
	}
	nominal, _ := in.Unit.Current(in.Unit.VNom)
	return func(v float64) (RowState, error) {
		r := RowState{Low: math.Inf(1)}
		ui, uv, err := run(v)
		if err != nil {
			return r, err
		}
		for k, i := range ui {
			r.Current += i
			r.Low, r.High = min(r.Low, i), max(r.High, i)
			r.UnitPower += i * uv[k]
			r.Flux += RelativeFlux(i / nominal)
		}
		return r, nil
	}, limit, nil
}

// Range is the voltages, V, the table holds for.
func (t *RowTable) Range() (lo, hi float64) { return t.lo, t.hi }

func (t *RowTable) find(v float64) (*cell, float64) {
	x := (v - t.lo) * t.perV
	k := int(x)
	if x < 0 {
		k = 0
	} else if k >= len(t.cell) {
		k = len(t.cell) - 1
	}
	return &t.cell[k], x - float64(k)
}

// current gives I and dI/dV; outside the range it goes on along the tangent.
func (t *RowTable) current(v float64) (i, g float64) {
	c, x := t.find(v)
	y := x
	if y > 1 {
		y = 1
	} else if y < 0 {
		y = 0
	}
	a := &c.i
	i = ((a[3]*y+a[2])*y+a[1])*y + a[0]
	s := (3*a[3]*y+2*a[2])*y + a[1]
	return i + s*(x-y), s * t.perV
}

// At is the state of the row at v volts, and false outside the table.
func (t *RowTable) At(v float64) (RowState, bool) {
	if !(v >= t.lo && v <= t.hi) {
		return RowState{}, false
	}
	c, x := t.find(v)
	return RowState{cubic(&c.i, x), cubic(&c.low, x), cubic(&c.high, x), cubic(&c.power, x), cubic(&c.flux, x)}, true
}
