package portrait

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"dawnsmith/finding"
	"dawnsmith/lamp"
	"dawnsmith/lamp/predict"
	"dawnsmith/paper/internal/sample"
)

// The picture marks as much of the face behind the monitor as the finding tells.
func TestMonitorAgreesWithTheFinding(t *testing.T) {
	for _, edge := range []float64{0.16, 0.2, 0.25} {
		l := sample.Lamp(func(s *lamp.Spec) { s.Place.MonitorDistance, s.Place.MonitorEdge = 0.5, edge })
		r, err := predict.Lamp(l)
		if err != nil {
			t.Fatal(err)
		}
		_, marked := SightInput(l).Hidden()
		told := -1.0
		for _, f := range r.Findings {
			if f.Key == "place.monitor" {
				_, after, _ := strings.Cut(f.What, "hides ")
				fmt.Sscanf(after, "%f", &told)
			}
		}
		if !finding.Has(r.Findings, "place.monitor") || math.Abs(100*marked-told) > 1 {
			t.Errorf("edge at %v m: %.1f %% marked, %v %% told", edge, 100*marked, told)
		}
	}
}
