package predict

import (
	"math"
	"testing"

	"dawnsmith/finding"
	"dawnsmith/lamp"
)

// A measured temperature comes out as it went in, light and life follow it, and
// a lamp whose own prediction is put in as a reading stays what it was.
func TestReadingCorrects(t *testing.T) {
	plain := work(t, testSpec())
	back := plain.Numbers[BackTemp]
	same := testSpec()
	same.Readings = []lamp.Reading{{At: "tray", Temperature: back + 273.15}}
	r := work(t, same)
	if math.Abs(r.Correction.Factor-1) > 1e-3 || math.Abs(r.Numbers[BackTemp]-back) > 0.02 {
		t.Errorf("its own temperature corrects it by %v", r.Correction.Factor)
	}
	cool := testSpec()
	cool.Readings = []lamp.Reading{{At: "tray", Temperature: back + 273.15 - 8}}
	r = work(t, cool)
	if math.Abs(r.Numbers[BackTemp]-(back-8)) > 0.02 {
		t.Errorf("read %.2f °C, corrected to %.2f °C", back-8, r.Numbers[BackTemp])
	}
	if !(r.Numbers[HeatFactor] < 1) || !(r.Numbers[FluxLED] > plain.Numbers[FluxLED]) {
		t.Errorf("factor %v, %v lm after %v lm", r.Numbers[HeatFactor], r.Numbers[FluxLED], plain.Numbers[FluxLED])
	}
	if !finding.Has(r.Findings, "heat.reading") || finding.Has(r.Findings, "heat.trade_figure") {
		t.Errorf("findings: %v", r.Findings)
	}
	if _, ok := plain.Numbers[HeatFactor]; ok {
		t.Error("a factor without a reading")
	}
}

// Far from the trade's 42 °C for aluminium the lamp says so and why; near it it
// does not. Common practice, no source.
func TestTradeFigure(t *testing.T) {
	hot := work(t, testSpec())
	if d := hot.Numbers[BackTemp] - 42; math.Abs(d) > 5 != finding.Has(hot.Findings, "heat.trade_figure") {
		t.Errorf("%.1f K from the figure: %v", d, hot.Findings)
	}
	s := testSpec()
	s.Rows, s.Paint = 3, "paint"
	if r := work(t, s); math.Abs(r.Numbers[BackTemp]-42) <= 5 && finding.Has(r.Findings, "heat.trade_figure") {
		t.Errorf("at %.1f °C: %v", r.Numbers[BackTemp], r.Findings)
	}
}
