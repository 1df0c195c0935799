// Command ngspice-check compares lamp/circuit with the circuit simulator
// ngspice on random lamps: each is written as a netlist, simulated by
// "ngspice -b" and every unit current compared.
//
// It exits 0 when all agree, 1 when one does not, and 3 when ngspice is not
// installed, saying so.
package main

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"

	"dawnsmith/lamp/circuit"
)

func main() {
	count := flag.Int("count", 10, "how many random networks")
	seed := flag.Uint64("seed", 1, "of the random numbers")
	tol := flag.Float64("tolerance", 1e-5, "of the largest unit current")
	keep := flag.String("keep", "", "folder for the netlists of those that differ")
	flag.Parse()
	if _, err := exec.LookPath("ngspice"); err != nil {
		fmt.Fprintln(os.Stderr, "ngspice is not installed: nothing was compared (Debian: apt-get install ngspice)")
		os.Exit(3)
	}
	dir, err := os.MkdirTemp("", "ngspice-check")
	if err != nil {
		fmt.Fprintln(os.Stderr, "ngspice-check:", err)
		os.Exit(1)
	}
	defer os.RemoveAll(dir)
	rng := rand.New(rand.NewPCG(*seed, 2))
	bad, skipped, worst := 0, 0, 0.0
	for k := range *count {
		n := randomNetwork(rng)
		dev, err := compare(n, dir)
		switch {
		case err == errSimulator:
			skipped++
			continue
		case err != nil:
			bad++
			fmt.Printf("network %d: %v\n", k, err)
		case dev > *tol:
			bad++
			fmt.Printf("network %d: unit currents differ by %.2g of the largest\n", k, dev)
		}
		if err == nil {
			worst = math.Max(worst, dev)
		}
		if (err != nil || dev > *tol) && *keep != "" {
			name := fmt.Sprintf("%s/network-%d.cir", *keep, k)
			if err := os.WriteFile(name, []byte(netlist(n, "out.raw")), 0o644); err != nil {
				fmt.Fprintln(os.Stderr, "ngspice-check:", err)
			}
		}
	}
	fmt.Printf("%d networks, %d not solved by ngspice, worst difference %.2g of the largest unit current, tolerance %.0g\n", *count, skipped, worst, *tol)
	if bad > 0 || skipped == *count {
		os.RemoveAll(dir)
		os.Exit(1)
	}
}

// compare gives the largest difference of a unit current, relative to the
// largest unit current.
func compare(n *circuit.Network, dir string) (float64, error) {
	theirs, err := simulate(n, dir)
	if err != nil {
		return 0, err
	}
	ours, err := circuit.Solve(n)
	if err != nil {
		return 0, err
	}
	largest, worst := 0.0, 0.0
	for i, row := range ours.Rows {
		for ch, u := range []circuit.Units{row.First, row.Second} {
			for k, amp := range u.I {
				them, ok := theirs[senseName(i, k, ch)]
				if !ok {
					return 0, fmt.Errorf("ngspice gives no current for row %d unit %d", i, k)
				}
				largest = math.Max(largest, math.Abs(amp))
				worst = math.Max(worst, math.Abs(amp-them))
			}
		}
	}
	if them := theirs["supply"]; math.Abs(them-ours.SupplyCurrent) > 1e-5*math.Abs(them)+1e-9 {
		return 0, fmt.Errorf("supply current %.9g A, ngspice %.9g A", ours.SupplyCurrent, them)
	}
	return worst / math.Max(largest, 1e-6), nil
}
