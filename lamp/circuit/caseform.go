package circuit

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strconv"
)

// unitForm, rowForm and networkForm are the JSON form of a network used by
// reference cases ("tray-circuit-cases/1"). A null resistance is a break.
type unitForm struct {
	Kind     string  `json:"kind"`
	VNom     float64 `json:"v_nom"`
	V0       float64 `json:"v0"`
	R        float64 `json:"r"`
	N        int     `json:"n"`
	IS       float64 `json:"i_s"`
	Ideality float64 `json:"ideality"`
	RS       float64 `json:"r_s"`
	RBallast float64 `json:"r_ballast"`
	ROn      float64 `json:"r_on"`
	ISet     float64 `json:"i_set"`
	G        float64 `json:"g"`
	P        float64 `json:"p"`
}

type ohmForm float64

func (o *ohmForm) UnmarshalJSON(b []byte) error {
	if string(b) == "null" {
		*o = ohmForm(math.Inf(1))
		return nil
	}
	return json.Unmarshal(b, (*float64)(o))
}

type rowForm struct {
	Units     int                `json:"units"`
	RUnit     float64            `json:"r_unit"`
	Unit      *unitForm          `json:"unit"`
	JointR    map[string]float64 `json:"joint_r"`
	Reversed  bool               `json:"reversed_units"`
	OpenAfter json.RawMessage    `json:"open_after"`
	Taps      []struct {
		End string  `json:"end"`
		Bus string  `json:"bus"`
		R   ohmForm `json:"r"`
	} `json:"taps"`
}

type networkForm struct {
	Supply struct {
		VOC  float64 `json:"v_oc"`
		RInt float64 `json:"r_int"`
	} `json:"supply"`
	Feeds []struct {
		RPos  ohmForm `json:"r_pos"`
		RNeg  ohmForm `json:"r_neg"`
		PosAt string  `json:"pos_at"`
		NegAt string  `json:"neg_at"`
	} `json:"feeds"`
	Buses []struct {
		ID   string    `json:"id"`
		RSeg []ohmForm `json:"r_seg"`
	} `json:"buses"`
	Rows    []rowForm            `json:"rows"`
	Jumpers [][3]json.RawMessage `json:"jumpers"`
}

func (f *unitForm) unit() (Unit, error) {
	k := slices.Index(kindNames[:], f.Kind)
	if k < 0 {
		return Unit{}, fmt.Errorf("unit kind %q is not known; allowed: pwl, series_diode, cc", f.Kind)
	}
	return Unit{
		Kind: Kind(k), VNom: f.VNom, V0: f.V0, R: f.R,
		Series: f.N, IS: f.IS, Ideality: f.Ideality, RS: f.RS, RBallast: f.RBallast,
		ROn: f.ROn, ISet: f.ISet, Slope: f.G, P: f.P,
	}, nil
}

// UnmarshalJSON reads a network in the form of the reference cases: supply,
// feeds, buses, rows and jumpers, nodes by name, other keys ignored.
func (n *Network) UnmarshalJSON(b []byte) error {
	var f networkForm
	if err := json.Unmarshal(b, &f); err != nil {
		return fmt.Errorf("network: %w", err)
	}
	*n = Network{VOC: f.Supply.VOC, RInt: f.Supply.RInt}
	for _, b := range f.Buses {
		bus := Bus{ID: b.ID}
		for _, r := range b.RSeg {
			bus.RSeg = append(bus.RSeg, float64(r))
		}
		n.Buses = append(n.Buses, bus)
	}
	// Rows first without taps, so that pads have names.
	for i := range f.Rows {
		row, err := f.Rows[i].row()
		if err != nil {
			return fmt.Errorf("network: row %d: %w", i, err)
		}
		n.Rows = append(n.Rows, row)
	}
	for i := range f.Rows {
		for _, t := range f.Rows[i].Taps {
			end, ok := padNamed(t.End)
			if !ok {
				return fmt.Errorf("network: row %d tap end %q is not known; allowed: L+, L-, R+, R-", i, t.End)
			}
			at, err := n.NodeNamed(t.Bus)
			if err != nil {
				return fmt.Errorf("network: row %d tap %s: %w", i, t.End, err)
			}
			n.Rows[i].Taps = append(n.Rows[i].Taps, Tap{End: end, Bus: at, R: float64(t.R)})
		}
	}
	for k, fd := range f.Feeds {
		feed := Feed{RPos: float64(fd.RPos), RNeg: float64(fd.RNeg)}
		var err error
		if fd.PosAt != "" {
			if feed.PosAt, err = n.NodeNamed(fd.PosAt); err != nil {
				return fmt.Errorf("network: feed %d plus: %w", k, err)
			}
		}
		if fd.NegAt != "" {
			if feed.NegAt, err = n.NodeNamed(fd.NegAt); err != nil {
				return fmt.Errorf("network: feed %d minus: %w", k, err)
			}
		}
		n.Feeds = append(n.Feeds, feed)
	}
	for k, j := range f.Jumpers {
		jumper, err := n.jumper(j)
		if err != nil {
			return fmt.Errorf("network: jumper %d: %w", k, err)
		}
		n.Jumpers = append(n.Jumpers, jumper)
	}
	return nil
}

func (n *Network) jumper(j [3]json.RawMessage) (Jumper, error) {
	var at [2]Node
	for e := range at {
		var name string
		if err := json.Unmarshal(j[e], &name); err != nil {
			return Jumper{}, err
		}
		x, err := n.NodeNamed(name)
		if err != nil {
			return Jumper{}, err
		}
		at[e] = x
	}
	var r ohmForm
	if err := r.UnmarshalJSON(j[2]); err != nil {
		return Jumper{}, err
	}
	return Jumper{A: at[0], B: at[1], R: float64(r)}, nil
}

func (f *rowForm) row() (Row, error) {
	row := Row{RUnit: f.RUnit, Reversed: f.Reversed}
	if f.Unit == nil {
		return row, fmt.Errorf("no unit law")
	}
	if f.Units < 1 || f.Units > 100000 {
		return row, fmt.Errorf("units is %d; allowed: 1 to 100000", f.Units)
	}
	unit, err := f.Unit.unit()
	if err != nil {
		return row, err
	}
	row.Units = slices.Repeat([]Unit{unit}, f.Units)
	for key, r := range f.JointR {
		k, err := strconv.Atoi(key)
		if err != nil {
			return row, fmt.Errorf("joint before unit %q: not a whole number", key)
		}
		row.Joints = append(row.Joints, Joint{Before: k, R: r})
	}
	slices.SortFunc(row.Joints, func(a, b Joint) int { return a.Before - b.Before })
	return row, f.breaks(&row)
}

// breaks reads open_after, one object or a list of them; the rail is "+" or
// "-", or spelt plus or minus.
func (f *rowForm) breaks(row *Row) error {
	type form struct {
		Unit int    `json:"unit"`
		Rail string `json:"rail"`
	}
	var list []form
	switch {
	case len(f.OpenAfter) == 0 || string(f.OpenAfter) == "null":
		return nil
	case f.OpenAfter[0] == '[':
		if err := json.Unmarshal(f.OpenAfter, &list); err != nil {
			return fmt.Errorf("open_after: %w", err)
		}
	default:
		var one form
		if err := json.Unmarshal(f.OpenAfter, &one); err != nil {
			return fmt.Errorf("open_after: %w", err)
		}
		list = []form{one}
	}
	for _, o := range list {
		b := Break{Unit: o.Unit}
		switch o.Rail {
		case "+", "p", "P", "pos", "plus":
		case "-", "n", "N", "neg", "minus":
			b.Rail = 1
		default:
			return fmt.Errorf("open_after: rail %q is not known; allowed: + or -", o.Rail)
		}
		row.Breaks = append(row.Breaks, b)
	}
	return nil
}
