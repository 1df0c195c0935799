package buildpack

import (
	"fmt"

	"dawnsmith/day/dose"
	"dawnsmith/lamp"
	"dawnsmith/quantity"
)

// caution is one warning with its source.
type caution struct{ title, text, source string }

// firstCautions stand on page 1.
func firstCautions(l lamp.Lamp) []caution {
	return []caution{
		{"Mains", "Only a certified, closed, isolated supply is used, as it was sold: never open it, never wire mains in or near the tray. Local electrical codes and a licensed electrician come before this pack.", "common practice"},
		{"Eyes", "The sheet stays on whenever the lamp is lit. Never look at bare LEDs. Keep the lamp in view, not in your gaze.", "IEC 62471:2006 (limits); common practice"},
		{"Health", "Nothing here promises an effect on health. With an illness or a daily medicine ask a clinician first. A published guideline advises patients against home-made lamps, since they may be too weak or let ultraviolet through: measure yours.", "Levitan 2005, J. Psychiatry Neurosci. 30 (PMC543845)"},
	}
}

// workCautions are those of the workshop and of the finished lamp.
func workCautions(l lamp.Lamp) []caution {
	fuse := "Behind a power-limited supply the lamp has no fuse of its own; if you ever change the supply, fit one."
	if l.Fuse != nil {
		fuse = fmt.Sprintf("The fuse, %s, stays fitted, in the plus near the supply. A fuse that opens has a reason: find it before you put in another of the same value.", short(l.Fuse.Rating, quantity.Current, 3))
	}
	return []caution{
		{"Before power", "No supply is connected before the tests with the meter have passed. Swarf, a strand or a solder ball across two pads is a short that can burn.", "common practice"},
		{"First power", "The first power-up is limited to a small current. If a bulb is put in series it must be rated at or above the supply's voltage and be shielded: it gets hot, and one for a lower voltage can burst.", "common practice"},
		{"Fuse", fuse, "common practice; values of IEC 60127"},
		{"Heat", "Metal above 48 °C hurts when held, above 60 °C when touched. Keep air free around tray and supply, and nothing that burns on or near them.", "touch limits of ISO 13732-1 and IEC 62368-1, from memory"},
		{"Alone", "Do not leave the lamp alone before its soak has passed, and never near water, bedding, or a child's reach.", "common practice"},
		{"Falling", "A lamp over a desk hangs on two things: its mount, and a cord to a point of its own.", "common practice"},
		{"Workshop", "Eye protection for cutting, drilling and soldering. Solder and glue where air moves; wash your hands afterwards. Cut metal and cut strip have sharp edges.", "common practice"},
	}
}

// healthCautions are those of package dose that page 1 does not carry already.
func healthCautions() []dose.Caution {
	var out []dose.Caution
	for _, c := range dose.Cautions() {
		if c.Key != "general" && c.Key != "homemade" {
			out = append(out, c)
		}
	}
	return out
}
