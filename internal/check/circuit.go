package check

import (
	"encoding/json"
	"fmt"

	"dawnsmith/lamp/circuit"
)

// circuitResults are the figures of a network; see package circuit.
type circuitResults struct {
	SupplyCurrent float64     `json:"supply_current_A"`
	SupplyV       float64     `json:"supply_terminal_V"`
	UnitCurrent   [][]float64 `json:"unit_current_A"`
	RowCurrent    []float64   `json:"row_current_A"`
	Min           float64     `json:"min_A"`
	Max           float64     `json:"max_A"`
	Mean          float64     `json:"mean_A"`
	Spread        float64     `json:"spread_lit"`
	MinOverMax    float64     `json:"min_over_max_lit"`
	CopperLoss    float64     `json:"copper_loss_W"`
	Units         int         `json:"units"`
	Lit           int         `json:"units_lit"`
}

func circuits(src *source) ([]entry, error) {
	// The thermal voltage is an input of the whole file.
	vt := 0.0
	if raw := src.get("thermal_voltage_V"); raw != nil {
		if json.Unmarshal(raw, &vt) != nil || !(vt > 0.01 && vt < 0.1) {
			return nil, fmt.Errorf("thermal_voltage_V must be a number of volts from 0.01 to 0.1")
		}
	}
	out, err := src.entries("cases", "result", nil, func(raw json.RawMessage) (any, error) { return solveCircuit(raw, vt) })
	for i := range out {
		out[i].rules = circuitRules(src.tolerance, out[i].stored)
	}
	return out, err
}

// circuitRules takes the tolerance of unit currents from the largest of them.
func circuitRules(tol limits, stored json.RawMessage) []rule {
	var s struct {
		I [][]float64 `json:"unit_current_A"`
	}
	most := 0.0
	if stored != nil && json.Unmarshal(stored, &s) == nil {
		for _, row := range s.I {
			for _, i := range row {
				most = max(most, i, -i)
			}
		}
	}
	unit := tol.or("unit_current_rel_of_max", 1e-5) * most
	return []rule{
		within("unit_current_A/*/*", unit),
		within("min_A", unit), within("max_A", unit), within("mean_A", unit),
		share("supply_current_A", tol.or("supply_current_rel", 1e-5)),
		equal("units"), equal("units_lit"),
	}
}

func solveCircuit(raw json.RawMessage, vt float64) (any, error) {
	var n circuit.Network
	if err := into(raw, &n); err != nil {
		return nil, err
	}
	if vt > 0 {
		n.SetThermalVoltage(vt)
	}
	s, err := circuit.Solve(&n)
	if err != nil {
		return nil, err
	}
	r := circuitResults{
		SupplyCurrent: s.SupplyCurrent, SupplyV: s.SupplyV,
		Min: s.Min, Max: s.Max, Mean: s.Mean, Spread: s.Spread, MinOverMax: s.MinOverMax,
		CopperLoss: s.Loss.Lamp(), Units: s.Units, Lit: s.Lit,
	}
	for _, row := range s.Rows {
		r.UnitCurrent = append(r.UnitCurrent, row.First.I)
		r.RowCurrent = append(r.RowCurrent, row.Current)
	}
	return r, nil
}
