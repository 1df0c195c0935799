package cut

import (
	"encoding/json"
	"math"
	"os"
	"testing"
	"time"
)

type reelForm struct {
	Units    int     `json:"units"`
	Joints   []int   `json:"joints"`
	Batch    string  `json:"batch"`
	OpenCost float64 `json:"open_cost"`
}

func reels(fs []reelForm) []Reel {
	var out []Reel
	for _, f := range fs {
		out = append(out, Reel{Units: f.Units, Joints: f.Joints, Batch: f.Batch, OpenCost: f.OpenCost})
	}
	return out
}

type cutCase struct {
	ID     string                 `json:"id"`
	Trays  []struct{ Rows []int } `json:"trays"`
	Reels  []reelForm             `json:"reels"`
	Most   int                    `json:"max_pieces_per_row"`
	Least  int                    `json:"min_piece_units"`
	Joints bool                   `json:"joints_allowed"`
	Keep   int                    `json:"keep_units"`
	One    bool                   `json:"one_batch_per_tray"`
	Splice float64                `json:"c_splice"`
	Joint  float64                `json:"c_joint"`
	Scrap  float64                `json:"c_scrap"`
	Result struct {
		Feasible bool `json:"feasible"`
		Optimum  struct {
			Cost   float64 `json:"cost"`
			Opened int     `json:"reels_opened"`
		} `json:"optimum"`
	} `json:"result"`
}

func (c *cutCase) job() Job {
	j := Job{
		Reels: reels(c.Reels), MaxPieces: c.Most, MinPiece: c.Least, JointsAllowed: c.Joints, Keep: c.Keep,
		OneBatch: c.One, Costs: Costs{Splice: c.Splice, Joint: c.Joint, Scrap: c.Scrap},
	}
	for _, t := range c.Trays {
		j.Trays = append(j.Trays, Tray{t.Rows})
	}
	return j
}

type layoutCase struct {
	ID     string     `json:"id"`
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
	Result struct {
		Options []struct {
			Along float64 `json:"rows_along_mm"`
			Rows  int     `json:"rows"`
			Units int     `json:"units_per_row"`
			Cut   float64 `json:"cut_cost"`
			Total float64 `json:"total_cost"`
		} `json:"options"`
	} `json:"result"`
}

func referenceFile(t testing.TB) (cuts []cutCase, layouts []layoutCase) {
	t.Helper()
	b, err := os.ReadFile("testdata/reference.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Cut    []cutCase    `json:"cut_cases"`
		Layout []layoutCase `json:"layout_cases"`
	}
	if err := json.Unmarshal(b, &file); err != nil {
		t.Fatal(err)
	}
	return file.Cut, file.Layout
}

// Costs proven optimal by integer programs (testdata/reference.json).
func TestReferenceCuts(t *testing.T) {
	cuts, _ := referenceFile(t)
	for _, c := range cuts {
		t.Run(c.ID, func(t *testing.T) {
			j := c.job()
			start := time.Now()
			p, err := Solve(j)
			took := time.Since(start)
			if err != nil {
				t.Fatal(err)
			}
			if p.Feasible != c.Result.Feasible || math.Abs(p.Cost-c.Result.Optimum.Cost) > 1e-9 || !p.Proven {
				t.Errorf("feasible %v at cost %g (proven %v), want %v at %g", p.Feasible, p.Cost, p.Proven, c.Result.Feasible, c.Result.Optimum.Cost)
			}
			check(t, &j, p)
			t.Logf("bound %g, %d states, %v", p.Bound, p.Explored, took)
		})
	}
}

type failer interface {
	Helper()
	Errorf(string, ...any)
}

// check holds a plan against the statement of its job.
func check(t failer, j *Job, p *Plan) {
	t.Helper()
	if !p.Feasible {
		if p.Why == "" {
			t.Errorf("an impossible job does not say why")
		}
		return
	}
	taken := make([][]bool, len(j.Reels))
	for r := range taken {
		taken[r] = make([]bool, j.Reels[r].Units)
	}
	k := 0
	for ti, tray := range j.Trays {
		batches := map[string]bool{}
		for i, u := range tray.Rows {
			if k >= len(p.Rows) {
				t.Errorf("only %d rows", len(p.Rows))
				return
			}
			row := p.Rows[k]
			k++
			if row.Tray != ti || row.Row != i || row.Units != u {
				t.Errorf("row %d of tray %d came out as %+v", i, ti, row)
			}
			sum := 0
			if len(row.Pieces) > max(j.MaxPieces, 1) {
				t.Errorf("%d pieces in a row", len(row.Pieces))
			}
			for _, pc := range row.Pieces {
				n := pc.To - pc.From
				sum += n
				if len(row.Pieces) > 1 && n < j.MinPiece {
					t.Errorf("piece of %d units", n)
				}
				if !j.JointsAllowed && j.Reels[pc.Reel].inside(pc.From, pc.To) > 0 {
					t.Errorf("piece %+v has a joint", pc)
				}
				batches[j.Reels[pc.Reel].Batch] = true
				for x := pc.From; x < pc.To; x++ {
					if taken[pc.Reel][x] {
						t.Errorf("unit %d of reel %d is used twice", x, pc.Reel)
					}
					taken[pc.Reel][x] = true
				}
			}
			if sum != u {
				t.Errorf("pieces of %d units for a row of %d", sum, u)
			}
		}
		if j.OneBatch && len(batches) > 1 {
			t.Errorf("tray %d has strip of %d batches", ti, len(batches))
		}
	}
	if p.Bound > p.Cost+1e-3 {
		t.Errorf("bound %g above the cost %g", p.Bound, p.Cost)
	}
}

// Every layout that fits, with its exact cost, by the same integer programs.
func TestReferenceLayouts(t *testing.T) {
	_, layouts := referenceFile(t)
	for _, c := range layouts {
		got, err := Layouts(Floor{Inner: [2]float64{c.Inner[0] / 1000, c.Inner[1] / 1000}, WireMargin: [2]float64{c.Wire[0] / 1000, c.Wire[1] / 1000},
			SideMargin: c.Side / 1000, StripWidth: c.Width / 1000, Gap: c.Gap / 1000, Unit: c.Unit / 1000, Target: c.Target, Tolerance: c.Tol,
			RowCost: c.CRow, TargetCost: c.CUnit, Reels: reels(c.Reels), Keep: 4, Joint: 5, Scrap: 1})
		if err != nil {
			t.Fatal(err)
		}
		type key struct{ along, rows, units int }
		costs := map[key]float64{}
		for _, l := range got {
			costs[key{int(math.Round(l.Along * 1000)), l.Rows, l.Units}] = l.Cost
		}
		for _, o := range c.Result.Options {
			if x, ok := costs[key{int(o.Along), o.Rows, o.Units}]; !ok || math.Abs(x-o.Total) > 1e-6 {
				t.Errorf("%s: %d rows of %d along %g cost %v (%v), want %v", c.ID, o.Rows, o.Units, o.Along, x, ok, o.Total)
			}
		}
		if len(got) != len(c.Result.Options) {
			t.Errorf("%s: %d layouts, want %d", c.ID, len(got), len(c.Result.Options))
		}
	}
	if _, err := Layouts(Floor{}); err == nil {
		t.Error("an empty floor passed")
	}
}

// Each reference case, to be planned within 50 ms.
func BenchmarkReference(b *testing.B) {
	cuts, _ := referenceFile(b)
	for _, c := range cuts {
		j := c.job()
		b.Run(c.ID, func(b *testing.B) {
			for b.Loop() {
				if _, err := Solve(j); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
