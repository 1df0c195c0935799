package check

import (
	"encoding/json"

	"dawnsmith/lamp/cut"
)

type reelForm struct {
	Units    int     `json:"units"`
	Joints   []int   `json:"joints"`
	Batch    string  `json:"batch"`
	OpenCost float64 `json:"open_cost"`
}

func reelsOf(fs []reelForm) []cut.Reel {
	var out []cut.Reel
	for _, f := range fs {
		out = append(out, cut.Reel{Units: f.Units, Joints: f.Joints, Batch: f.Batch, OpenCost: f.OpenCost})
	}
	return out
}

type cutForm struct {
	Trays []struct {
		Rows []int `json:"rows"`
	} `json:"trays"`
	Reels  []reelForm `json:"reels"`
	Most   int        `json:"max_pieces_per_row"`
	Least  int        `json:"min_piece_units"`
	Joints bool       `json:"joints_allowed"`
	Keep   int        `json:"keep_units"`
	One    bool       `json:"one_batch_per_tray"`
	Splice float64    `json:"c_splice"`
	Joint  float64    `json:"c_joint"`
	Scrap  float64    `json:"c_scrap"`
}

type cutOptimum struct {
	Cost    float64 `json:"cost"`
	Opened  int     `json:"reels_opened"`
	Splices int     `json:"splices"`
	Joints  int     `json:"joints_in_rows"`
	Scrap   int     `json:"scrap_units"`
	Kept    int     `json:"kept_units"`
}

type cutResult struct {
	Feasible bool        `json:"feasible"`
	Optimum  *cutOptimum `json:"optimum,omitempty"`
	Plan     []planRow   `json:"one_optimal_plan,omitempty"`
}

type planRow struct {
	Tray   int      `json:"tray"`
	Units  int      `json:"row_units"`
	Pieces [][3]int `json:"pieces"`
}

type layoutForm struct {
	Inner  [2]float64 `json:"inner_mm"`
	Wire   [2]float64 `json:"wire_margin_mm"`
	Side   float64    `json:"side_margin_mm"`
	Width  float64    `json:"strip_width_mm"`
	Gap    float64    `json:"min_gap_mm"`
	Unit   float64    `json:"unit_mm"`
	Target int        `json:"target_units"`
	Tol    int        `json:"tolerance_units"`
	CRow   float64    `json:"c_row"`
	CUnit  float64    `json:"c_target"`
	Reels  []reelForm `json:"reels"`
}

type layoutOption struct {
	Along float64 `json:"rows_along_mm"`
	Rows  int     `json:"rows"`
	Units int     `json:"units_per_row"`
	Cut   float64 `json:"cut_cost"`
	Total float64 `json:"total_cost"`
}

type layoutResult struct {
	Optimum layoutOption   `json:"optimum"`
	Ties    []layoutOption `json:"ties"`
	Options []layoutOption `json:"options"`
}

// cuttings recomputes cutting and layout cases. Plans are not unique: the
// costs and whether it can be done are compared.
func cuttings(src *source) ([]entry, error) {
	cuts, err := src.entries("cut_cases", "result", []rule{equal("feasible"), within("optimum/cost", 1e-6)}, solveCut)
	if err != nil || src.get("layout_cases") == nil {
		return cuts, err
	}
	layouts, err := src.entries("layout_cases", "result", []rule{within("optimum/cut_cost", 1e-6), within("optimum/total_cost", 1e-6)}, solveLayout)
	return append(cuts, layouts...), err
}

func solveCut(raw json.RawMessage) (any, error) {
	var f cutForm
	if err := into(raw, &f); err != nil {
		return nil, err
	}
	j := cut.Job{Reels: reelsOf(f.Reels), MaxPieces: f.Most, MinPiece: f.Least, JointsAllowed: f.Joints, Keep: f.Keep, OneBatch: f.One,
		Costs: cut.Costs{Splice: f.Splice, Joint: f.Joint, Scrap: f.Scrap}}
	for _, t := range f.Trays {
		j.Trays = append(j.Trays, cut.Tray{Rows: t.Rows})
	}
	p, err := cut.Solve(j)
	if err != nil {
		return nil, err
	}
	out := cutResult{Feasible: p.Feasible}
	if p.Feasible {
		out.Optimum = &cutOptimum{p.Cost, p.Opened, p.Splices, p.Joints, p.Scrap, p.Kept}
		for _, r := range p.Rows {
			row := planRow{Tray: r.Tray, Units: r.Units}
			for _, pc := range r.Pieces {
				row.Pieces = append(row.Pieces, [3]int{pc.Reel, pc.From, pc.To})
			}
			out.Plan = append(out.Plan, row)
		}
	}
	return out, nil
}

func solveLayout(raw json.RawMessage) (any, error) {
	var f layoutForm
	if err := into(raw, &f); err != nil {
		return nil, err
	}
	const mm = 1e-3
	// Keep, joint and scrap are those of the form's statement.
	ls, err := cut.Layouts(cut.Floor{
		Inner: [2]float64{f.Inner[0] * mm, f.Inner[1] * mm}, WireMargin: [2]float64{f.Wire[0] * mm, f.Wire[1] * mm},
		SideMargin: f.Side * mm, StripWidth: f.Width * mm, Gap: f.Gap * mm, Unit: f.Unit * mm, Target: f.Target, Tolerance: f.Tol,
		RowCost: f.CRow, TargetCost: f.CUnit, Reels: reelsOf(f.Reels), Keep: 4, Joint: 5, Scrap: 1,
	})
	if err != nil {
		return nil, err
	}
	var out layoutResult
	for _, l := range ls {
		out.Options = append(out.Options, layoutOption{l.Along / mm, l.Rows, l.Units, l.CutCost, l.Cost})
	}
	for i, o := range out.Options {
		if i == 0 {
			out.Optimum = o
		}
		if o.Total <= out.Optimum.Total+1e-9 {
			out.Ties = append(out.Ties, o)
		}
	}
	return out, nil
}
