package colour

// Level is a design level of one intent in TM-30 annex E: 1 is the strictest;
// Missed stands for the "−" of the annex.
type Level int

// Missed: not even level 3 is kept.
const Missed Level = 0

// String gives 1, 2, 3 or −.
func (l Level) String() string { return [...]string{"−", "1", "2", "3"}[l] }

// Intent holds the levels a light keeps for the three design intents.
type Intent struct {
	Preference Level // P: colours pleasing
	Vividness  Level // V: colours strong
	Fidelity   Level // F: colours true
}

// Intent sorts a light into the design levels of ANSI/IES TM-30-20 annex E.
//
// P1 Rf ≥ 78, Rg ≥ 95, −1 % ≤ Rcs,h1 ≤ 15 %; P2 75, 92, −7…19 %; P3 70, 89,
// −12…23 %. V1 Rg ≥ 118, Rcs,h1 ≥ 15 %; V2 110, 6 %; V3 100, 0 %. F1 Rf ≥ 95;
// F2 Rf ≥ 90 and Rf,h1 ≥ 90; F3 85 and 85. P1 was compared with a printed
// text; the others are from memory. A light without a result keeps none.
func (f *Fidelity) Intent() Intent {
	if !f.Valid {
		return Intent{}
	}
	red, redFidelity := f.RcsBin[0], f.RfBin[0]
	level := func(kept ...bool) Level {
		for i, k := range kept {
			if k {
				return Level(i + 1)
			}
		}
		return Missed
	}
	within := func(lo, hi float64) bool { return red >= lo && red <= hi }
	return Intent{
		Preference: level(
			f.Rf >= 78 && f.Rg >= 95 && within(-0.01, 0.15),
			f.Rf >= 75 && f.Rg >= 92 && within(-0.07, 0.19),
			f.Rf >= 70 && f.Rg >= 89 && within(-0.12, 0.23)),
		Vividness: level(
			f.Rg >= 118 && red >= 0.15,
			f.Rg >= 110 && red >= 0.06,
			f.Rg >= 100 && red >= 0),
		Fidelity: level(
			f.Rf >= 95,
			f.Rf >= 90 && redFidelity >= 90,
			f.Rf >= 85 && redFidelity >= 85),
	}
}
