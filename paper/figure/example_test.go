package figure_test

// Each example draws a picture of the gallery; the pictures themselves are in
// testdata.

func ExampleSpectrum() {
	show(spectrum())
	// Output:
	// Light at the eye: 150 × 92 mm
}

func ExampleCurves() {
	show(curves())
	// Output:
	// Light through the day: 150 × 92 mm
}

func ExampleCurves_band() {
	show(band())
	// Output:
	// Illuminance over distance: 150 × 92 mm
}

func ExampleTradeOff() {
	show(tradeoff())
	// Output:
	// What money buys: 150 × 105 mm
}

func ExampleIntervals() {
	show(intervals())
	// Output:
	// Melanopic daylight illuminance at the wheel: 150 × 84 mm
}

func ExampleIntervals_swap() {
	show(swap())
	// Output:
	// Opal sheet swapped for a clearer one: 150 × 68 mm
}

func ExampleHueDots() {
	show(hues())
	// Output:
	// Rendition by hue: 150 × 84 mm
}

func ExampleReceptors() {
	show(receptors())
	// Output:
	// What the eye's receptors get: 150 × 100 mm
}

func ExampleMap() {
	show(faceMap())
	// Output:
	// Luminance of the face: 150 × 100 mm
}

func ExampleWaveSpectrum() {
	show(waveSpectrum())
	// Output:
	// Which frequencies flicker: 150 × 92 mm
}

func ExampleProfile() {
	show(profile())
	// Output:
	// Luminance along the third row: 150 × 92 mm
}

func ExampleWarmUp() {
	show(warmUp())
	// Output:
	// Warming up: 150 × 92 mm
}

func ExampleWaveform() {
	show(waveform())
	// Output:
	// Flicker: 150 × 92 mm
}

func ExampleTrayPlan() {
	show(trayPlan())
	// Output:
	// Tray, from above: 170 × 106 mm
}

func ExampleTrayPlan_template() {
	show(template())
	// Output:
	// Template: 192 × 112 mm
}

func ExampleTrayPlan_few() {
	show(smallPlan())
	// Output:
	// A small tray: 170 × 120 mm
}

func ExampleTraySection() {
	show(section())
	// Output:
	// Tray, cut across the rows: 150 × 53 mm
}

func ExampleSideView() {
	show(sideView())
	// Output:
	// Lamp and eye: 150 × 131 mm
}

func ExampleSideView_hidden() {
	show(highLamp())
	// Output:
	// Too high: 150 × 139 mm
}
