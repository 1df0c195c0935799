package check

import (
	"encoding/json"

	"dawnsmith/lamp/heat"
)

// trays solves floors of trays on the grid of package heat.
func trays(src *source) ([]entry, error) {
	rules := []rule{
		within("floor_mean_C", src.tolerance.or("floor_mean_K", 0.05)),
		within("floor_max_C", src.tolerance.or("floor_max_K", 0.25)),
	}
	return src.entries("cases", "result", rules, func(raw json.RawMessage) (any, error) {
		var c heat.TrayCase
		if err := into(raw, &c); err != nil {
			return nil, err
		}
		return c.Compute()
	})
}
