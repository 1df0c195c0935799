package stock

import (
	"fmt"
	"math"
	"strings"

	"dawnsmith/finding"
	"dawnsmith/lamp"
	"dawnsmith/lamp/part"
)

// Proof says in two or three sentences that no plan is better, by which
// weights, and what a simpler bound gives.
func (p *Plan) Proof(l lamp.Lamp) string {
	if len(p.Parts) > 0 {
		return p.each(l, (*Plan).Proof)
	}
	var b strings.Builder
	money := func(x float64) string {
		return part.Money{Cents: int64(math.Round(x * 100)), Currency: l.Strip.Price.Currency}.String()
	}
	if p.Proven {
		fmt.Fprintf(&b, "Proved best: no plan from these reels weighs less than %s.", money(p.Cost))
	} else {
		fmt.Fprintf(&b, "Weighs %s; not proved best.", money(p.Cost))
	}
	fmt.Fprintf(&b, " Weighed: a new reel %s, a whole reel in stock %s, a leftover nothing", money(p.NewReel), money(p.WholeReel))
	if p.Rules.Pieces > 1 {
		fmt.Fprintf(&b, ", a splice %s", money(p.Costs.Splice))
	}
	if len(p.Phases) > 0 || p.hasJoints() {
		if p.Rules.NoJoints {
			b.WriteString(", no factory joint in a row")
		} else {
			fmt.Fprintf(&b, ", a factory joint in a row %s", money(p.Costs.Joint))
		}
	}
	fmt.Fprintf(&b, ", a unit of scrap %s. Counting units alone, no plan can weigh less than %s or open fewer than %s.", money(p.Costs.Scrap), money(p.Bound), count(p.LeastReels, "reel"))
	return b.String()
}

// each joins what is said of the plans of either strip.
func (p *Plan) each(l lamp.Lamp, say func(*Plan, lamp.Lamp) string) string {
	var out []string
	for k, q := range p.Parts {
		if s := say(q, l.Half(k)); s != "" {
			out = append(out, fmt.Sprintf("The %s strip: %s", q.Channel, s))
		}
	}
	return strings.Join(out, " ")
}

func (p *Plan) hasJoints() bool {
	for _, r := range p.Reels {
		if len(r.Joints) > 0 {
			return true
		}
	}
	return false
}

// Unsure says what an unknown first joint may change; "" when all are known.
func (p *Plan) Unsure(l lamp.Lamp) string {
	if len(p.Parts) > 0 {
		return p.each(l, (*Plan).Unsure)
	}
	if len(p.Phases) == 0 {
		return ""
	}
	lo, hi := p.Phases[0], p.Phases[0]
	for _, f := range p.Phases {
		if f.Joints < lo.Joints {
			lo = f
		}
		if f.Joints > hi.Joints {
			hi = f
		}
	}
	most, least := 0, 1<<30
	for _, f := range p.Phases {
		most, least = max(most, f.Opened), min(least, f.Opened)
	}
	var names []string
	first := 0
	for _, r := range p.Reels {
		if !r.Known && len(r.Joints) > 0 {
			names = append(names, r.Name)
			first = r.Joints[0]
		}
	}
	if len(names) == 0 {
		return ""
	}
	s := fmt.Sprintf("Where the first factory joint of %s lies is not known before unrolling. All %d places were tried, and this plan is for the worst of them, %s from the start", list(names), len(p.Phases), mm(float64(first)*l.Strip.Cut))
	if least != most {
		s += fmt.Sprintf("; %d to %s are opened", least, count(most, "reel"))
	} else {
		s += fmt.Sprintf("; %s opened wherever it lies", isAre(most, "reel"))
	}
	if hi.Joints != lo.Joints {
		s += fmt.Sprintf(", and %d to %d factory joints come to lie inside rows", lo.Joints, hi.Joints)
	}
	return s + ". Unroll, measure, write the place into the stock file, and plan again before you cut."
}

// Finding is the stop that it is: no reason makes strip longer.
func (e *Impossible) Finding() finding.Finding {
	return finding.Finding{Severity: finding.Stop, Key: "cut.impossible", NoOverride: true,
		What: "the rows cannot be cut: " + e.Why, Cause: "reels, joints and the rules for cutting leave no plan",
		Mend: "shorten the rows, allow splices or factory joints in rows, or take a longer reel", Source: "exhaustive search (lamp/cut)"}
}

func isAre(n int, what string) string {
	if n == 1 {
		return "1 " + what + " is"
	}
	return fmt.Sprintf("%d %ss are", n, what)
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// list joins names: "a, b and c".
func list(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}
