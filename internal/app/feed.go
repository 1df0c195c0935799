package app

import (
	"fmt"

	"dawnsmith/lamp/circuit"
)

// Feed is one way of feeding a lamp's rows, as lamp/circuit advises.
type Feed struct {
	Feed       string  `json:"feed"`
	Words      string  `json:"words"`
	Now        bool    `json:"now"`
	MinOverMax float64 `json:"unit_current_min_over_max"`
	Spread     float64 `json:"spread"`
	CopperLoss float64 `json:"copper_loss_w"`
	WireLength float64 `json:"wire_length_m"`
	Joints     int     `json:"joints"`
	Meets      bool    `json:"meets"`
	Why        string  `json:"why"`
}

// Feeds ranks the ways of feeding the answer's lamp, best first. The answer
// must be worked out.
func (ans *Answer) Feeds() ([]Feed, error) {
	if !ans.Worked() {
		return nil, fmt.Errorf("%s", ans.Sentence())
	}
	advice, err := circuit.Advise(ans.Result.Layout())
	if err != nil {
		return nil, err
	}
	var out []Feed
	for _, ad := range advice {
		key, err := ad.Scheme.MarshalText()
		if err != nil {
			return nil, err
		}
		out = append(out, Feed{Feed: string(key), Words: ad.Scheme.String(), Now: string(key) == ans.Lamp.Feed, MinOverMax: ad.Evenness, Spread: ad.Spread,
			CopperLoss: ad.CopperLoss, WireLength: ad.WireLength(), Joints: ad.Joints, Meets: ad.Meets, Why: ad.Why})
	}
	return out, nil
}
