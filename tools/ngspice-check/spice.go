package main

import (
	"bufio"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"

	"dawnsmith/lamp/circuit"
)

// errSimulator: ngspice found no operating point, which says nothing of ours.
var errSimulator = errors.New("ngspice did not solve the network")

// spiceVt is kT/q at 27 °C with the constants ngspice 39 is built with.
const spiceVt = 0.025864917007157463

func senseName(row, unit, channel int) string { return fmt.Sprintf("s%d_%d_%d", row, unit, channel) }

// netlist writes the network for ngspice, from its description alone.
func netlist(n *circuit.Network, raw string) string {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	count := 0
	resistor := func(a, z string, r float64) {
		if math.IsInf(r, 1) {
			return
		}
		count++
		if r == 0 {
			line("Vz%d %s %s DC 0", count, a, z)
			return
		}
		line("R%d %s %s %.17g", count, a, z, r)
	}
	name := func(x circuit.Node) string {
		return strings.NewReplacer("+", "p", "-2", "m2", "-", "m").Replace(n.NodeName(x))
	}
	line("* random lamp")
	line("Vsupply vp 0 DC %.17g", n.VOC)
	resistor("vp", "sp", n.RInt)
	for _, f := range n.Feeds {
		if f.PosAt != (circuit.Node{}) {
			resistor("sp", name(f.PosAt), f.RPos+f.ContactPos)
		}
		if f.NegAt != (circuit.Node{}) {
			resistor(name(f.NegAt), "0", f.RNeg+f.ContactNeg+f.Dimmer)
		}
	}
	for k, bus := range n.Buses {
		for i, r := range bus.RSeg {
			resistor(name(circuit.BusNode(k, i)), name(circuit.BusNode(k, i+1)), r)
		}
	}
	for _, j := range n.Jumpers {
		resistor(name(j.A), name(j.B), j.R)
	}
	left := []circuit.Pad{circuit.LeftPlus, circuit.LeftMinus, circuit.LeftMinus2}
	right := []circuit.Pad{circuit.RightPlus, circuit.RightMinus, circuit.RightMinus2}
	for i, row := range n.Rows {
		rails := 2
		if row.Second != nil {
			rails = 3
		}
		for rail := range rails {
			at := name(circuit.PadNode(i, left[rail]))
			for k := range row.Units {
				r := row.RUnit
				if k == 0 {
					r /= 2
				}
				for _, j := range row.Joints {
					if j.Before == k {
						r += j.R
					}
				}
				if k > 0 && broken(row, k-1, rail) {
					r = math.Inf(1)
				}
				next := fmt.Sprintf("u%d_%d_%d", i, k, rail)
				resistor(at, next, r)
				at = next
			}
			if !broken(row, len(row.Units)-1, rail) {
				resistor(at, name(circuit.PadNode(i, right[rail])), row.RUnit/2)
			}
		}
		for _, t := range row.Taps {
			resistor(name(circuit.PadNode(i, t.End)), name(t.Bus), t.R)
		}
		for ch, us := range [][]circuit.Unit{row.Units, row.Second} {
			for k, u := range us {
				a, z := fmt.Sprintf("u%d_%d_0", i, k), fmt.Sprintf("u%d_%d_%d", i, k, 1+ch)
				if row.Reversed {
					a, z = z, a
				}
				unit(line, senseName(i, k, ch), a, z, u)
			}
		}
	}
	line(".options reltol=1e-9 abstol=1e-15 vntol=1e-11 gmin=1e-16 rshunt=1e12 itl1=2000 temp=27 tnom=27")
	line(".control\nset filetype=ascii\nop\nwrite %s\n.endc\n.end", raw)
	return b.String()
}

func broken(row circuit.Row, unit, rail int) bool {
	for _, b := range row.Breaks {
		if b.Unit == unit && b.Rail == rail {
			return true
		}
	}
	return false
}

// unit writes one unit between a and z, with a source of 0 V that reads its
// current.
func unit(line func(string, ...any), id, a, z string, u circuit.Unit) {
	mid := "m" + id
	line("V%s %s %s DC 0", id, a, mid)
	v := fmt.Sprintf("V(%s,%s)", mid, z)
	switch u.Kind {
	case circuit.PiecewiseLinear:
		line("B%s %s %s I=uramp(%s-%.17g)/%.17g", id, mid, z, v, u.V0, u.R)
	case circuit.SeriesDiode:
		n := float64(u.Series)
		line("D%s %s d%s M%s", id, mid, id, id)
		line("Rb%s d%s %s %.17g", id, id, z, n*u.RS+u.RBallast)
		line(".model M%s D(IS=%.17g N=%.17g)", id, u.IS, n*u.Ideality)
	default:
		line("B%s %s %s I=uramp(%s-%.17g)/%.17g*(1+(uramp(%s-%.17g)/%.17g/(%.17g*(1+%.17g*(%s-%.17g))))^%.17g)^(-1/%.17g)",
			id, mid, z, v, u.V0, u.ROn, v, u.V0, u.ROn, u.ISet, u.Slope, v, u.VNom, u.P, u.P)
	}
}

// simulate runs ngspice and reads the current of every sense source.
func simulate(n *circuit.Network, dir string) (map[string]float64, error) {
	in, out := filepath.Join(dir, "lamp.cir"), filepath.Join(dir, "lamp.raw")
	if err := os.WriteFile(in, []byte(netlist(n, out)), 0o644); err != nil {
		return nil, err
	}
	if err := os.Remove(out); err != nil && !errors.Is(err, os.ErrNotExist) {
		return nil, err
	}
	// In batch mode without a .print line it exits 1 even when all went well.
	log, _ := exec.Command("ngspice", "-b", in).CombinedOutput()
	for _, word := range []string{"no convergence", "singular", "failed", "aborted", "error"} {
		if strings.Contains(strings.ToLower(string(log)), word) {
			return nil, errSimulator
		}
	}
	f, err := os.Open(out)
	if err != nil {
		return nil, errSimulator
	}
	defer f.Close()
	return readRaw(f)
}

// readRaw reads an ASCII raw file of one operating point: currents of voltage
// sources by the source's name, the supply's sign turned.
func readRaw(f *os.File) (map[string]float64, error) {
	var names []string
	var values []float64
	part := ""
	sc := bufio.NewScanner(f)
	for sc.Scan() {
		fields := strings.Fields(sc.Text())
		if len(fields) == 0 {
			continue
		}
		switch fields[0] {
		case "Variables:", "Values:":
			part = fields[0]
			continue
		}
		switch part {
		case "Variables:":
			names = append(names, fields[1])
		case "Values:":
			v, err := strconv.ParseFloat(fields[len(fields)-1], 64)
			if err != nil {
				return nil, fmt.Errorf("ngspice output: %w", err)
			}
			values = append(values, v)
		}
	}
	if err := sc.Err(); err != nil {
		return nil, err
	}
	out := map[string]float64{}
	for k, name := range names {
		if k >= len(values) {
			break
		}
		if id, ok := strings.CutPrefix(name, "i(v"); ok {
			id = strings.TrimSuffix(id, ")")
			out[id] = values[k]
		}
	}
	out["supply"] = -out["supply"]
	return out, nil
}
