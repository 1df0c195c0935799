package app

import (
	"fmt"

	"dawnsmith/lamp"
)

// Compare works out two lamps and tells every difference between their numbers
// and findings with its reason; Kind, From and To stay empty. Both are worked
// out with their uncertainty, so that what the two share cancels.
func (a *App) Compare(before, after lamp.Spec) (Swapped, error) {
	var sw Swapped
	var err error
	if sw.Before, err = a.Predict(before, nil, true); err != nil {
		return sw, fmt.Errorf("the first: %w", err)
	}
	if sw.After, err = a.Predict(after, nil, true); err != nil {
		return sw, fmt.Errorf("the second: %w", err)
	}
	sw.Differences = differences(&sw.Before, &sw.After)
	sw.Raised = without(sw.After.Result.Findings, sw.Before.Result.Findings)
	sw.Cleared = without(sw.Before.Result.Findings, sw.After.Result.Findings)
	return sw, nil
}

// Fit makes rows, units and drive of a lamp fit after another tray or strip
// was put in, and tells what it changed; from is the lamp before.
func (a *App) Fit(s *lamp.Spec, from lamp.Spec) []string {
	var sw Swapped
	if names := lamp.ChannelsOf(*s, a.Parts); len(s.Drive) > 0 && len(names) > 0 {
		kept := map[string]float64{}
		for _, name := range names {
			if d, ok := s.Drive[name]; ok {
				kept[name] = d
			}
		}
		if len(kept) < len(s.Drive) {
			sw.Notes = append(sw.Notes, "the drive of channels that the new strip lacks is dropped")
		}
		s.Drive = kept
	}
	a.refit(s, from, &sw)
	return sw.Notes
}
