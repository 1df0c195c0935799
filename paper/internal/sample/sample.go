// Package sample holds an invented lamp and its parts for the tests of the
// paper packages. Nobody sells these parts.
package sample

import (
	"math"

	"dawnsmith/lamp"
	"dawnsmith/lamp/brief"
	"dawnsmith/lamp/part"
	"dawnsmith/quantity"
)

// Feeds are the schemes by which a lamp can be fed.
var Feeds = []string{"first-row", "middle-row", "reverse-return", "opposite-ends", "opposite-ends-reverse", "both-ends", "serpentine"}

func item(id, name string, cents int64, pack float64) part.Item {
	return part.Item{ID: id, Name: name, Invented: true, Price: part.Money{Cents: cents, Currency: "EUR"}, Pack: pack}
}

func about(x, rel float64, source string) quantity.Value {
	return quantity.Measured(x, rel*x, source)
}

// Parts are a set from which Spec's lamp can be built.
func Parts() part.Set {
	channel := func(name string, watts, lumens, kelvin float64) part.Channel {
		return part.Channel{Name: name, Power: about(watts, 0.06, "strip "+name+" power"), Flux: about(lumens, 0.07, "strip "+name+" flux"),
			CCT: about(kelvin, 0.025, "strip "+name+" cct"), Ra: 90, Pump: part.BluePump, Forward: 2.9, FluxPerKelvin: quantity.Exact(-0.0015)}
	}
	strip := part.Strip{Item: item("plain", "24 V white strip, 120 LEDs/m, 5000 K", 1890, 5), Drive: part.Resistor, Voltage: 24, LEDs: 120, Series: 6, Cut: 0.05, Reel: 5,
		Joint: 0.5, JointR: 0.005, Width: 0.010, Height: 0.0015, Copper: 2, Rail: 0.004, Beam: 120 * math.Pi / 180, Emitter: 5e-6, Mass: 0.028,
		TapeLimit: 353.15, Reflectance: quantity.Exact(0.84), JunctionR: quantity.Exact(20), JunctionLimit: 378.15,
		Channels: []part.Channel{channel("white", 14.4, 1550, 5000)}}
	twin := strip
	twin.Item = item("twin", "24 V two-channel strip, 120 + 120 LEDs/m", 3200, 5)
	twin.Width, twin.Rail = 0.012, 0.0025
	twin.Channels = []part.Channel{channel("warm", 9.6, 930, 2700), channel("cool", 9.6, 1060, 6500)}
	wire := func(id, name string, mm2, limit, d float64) part.Wire {
		return part.Wire{Item: item(id, name, 490, 10), Area: mm2 * 1e-6, Limit: limit, Stranded: true, Diameter: d * 1e-3}
	}
	supply := func(id, name string, watts float64) part.Supply {
		return part.Supply{Item: item(id, name, 1690, 1), Voltage: about(24, 0.01, "supply voltage"), Rating: watts, Resistance: 0.1, Efficiency: quantity.Exact(0.88),
			NoLoad: 0.15, PowerLimited: true, Insulated: true, Outlet: "socket", CaseLimit: 343.15, Mass: 0.28}
	}
	return part.Set{
		Schema: 1,
		Strips: []part.Strip{strip, twin},
		Trays: []part.Tray{
			{Item: item("tray", "aluminium tray 380 × 280 × 50 mm, bare", 1490, 1), Material: "aluminium-3003", Length: 0.38, Width: 0.28, Depth: 0.05, Thickness: 0.001,
				Reflectance: quantity.Exact(0.7), Specular: quantity.Exact(0.2), EmissivityBack: quantity.Exact(0.1), EmissivityInside: quantity.Exact(0.1)},
			{Item: item("large", "aluminium tray 600 × 400 × 80 mm, painted back", 2690, 1), Material: "aluminium-5052", Length: 0.6, Width: 0.4, Depth: 0.08, Thickness: 0.0012, Painted: true,
				Reflectance: quantity.Exact(0.7), Specular: quantity.Exact(0.2), EmissivityBack: quantity.Exact(0.9), EmissivityInside: quantity.Exact(0.1)},
		},
		Linings:  []part.Lining{{Item: item("film", "white reflective film, matt", 990, 0.5), Thickness: 0.000188, Reflectance: about(0.96, 0.01, "lining film reflectance"), Specular: quantity.Exact(0.05), Emissivity: 0.85}},
		Sheets:   []part.Sheet{{Item: item("plate", "polycarbonate diffuser plate 2 mm", 1390, 0.25), Thickness: 0.002, Density: 1200, Transmittance: about(0.66, 0.04, "sheet plate transmittance"), Reflectance: quantity.Exact(0.31), Lobe: 0.6, LobeWidth: quantity.Exact(math.Pi / 2), Limit: 383.15, Emissivity: 0.9}},
		Supplies: []part.Supply{supply("small", "24 V 60 W desk supply, limited power", 60), supply("big", "24 V 96 W desk supply, limited power", 96)},
		Wires: []part.Wire{wire("wire-20", "20 AWG stranded wire, 5 m red and 5 m black", 0.518, 5, 1.8),
			wire("wire-18", "18 AWG stranded wire, 5 m red and 5 m black", 0.823, 7, 2.1)},
		Connectors: []part.Connector{{Item: item("socket", "barrel socket 5.5 × 2.1 mm, soldered", 190, 1), Limit: 5, Contact: 0.01, Poles: 2},
			{Item: item("round", "locking round connector, 4 poles", 490, 1), Limit: 7.5, Contact: 0.006, Poles: 4}},
		Fuses:   []part.Fuse{{Item: item("fuse-2a5", "2.5 A fuse 5 × 20 mm, slow, with in-line holder", 220, 1), Rating: 2.5, Voltage: 63}, {Item: item("fuse-4a", "4 A fuse 5 × 20 mm, slow, with in-line holder", 220, 1), Rating: 4, Voltage: 63}},
		Dimmers: []part.Dimmer{{Item: item("dim-2", "two-channel dimmer, 4 kHz", 2490, 1), Channels: 2, Limit: 6, Resistance: 0.015, Frequency: 4000, Bits: 12, VoltageLow: 12, VoltageHigh: 24}},
		Mounts:  []part.Mount{{Item: item("arm", "jointed arm with desk clamp, 0.60 m", 1990, 1), Reach: 0.6, Torque: 3, Load: 1.8, Mass: 0.9}},
		Tools: []part.Tool{{Item: item("iron", "soldering iron 60 W, regulated, with stand", 2990, 1)}, {Item: item("multimeter", "multimeter with 10 A DC range", 1990, 1)},
			{Item: item("thermometer", "thermometer with wire probe", 1190, 1), Optional: true}, {Item: item("lux-meter", "illuminance meter to 20 000 lx", 3490, 1), Optional: true}},
		Consumables: []part.Consumable{{Item: item("solder", "lead-free solder with flux, 50 g", 590, 50), PerJoint: 0.2},
			{Item: item("tape", "polyimide tape 10 mm, 33 m", 390, 33), PerLamp: 0.6, PerRow: 0.06},
			{Item: item("black", "matt black heat-resistant spray paint 400 ml", 690, 400), PerBack: 250, ForBack: true, Emissivity: 0.9}},
	}
}

// Spec is the lamp's document: nine rows of seven units, fed at the first row.
func Spec() lamp.Spec {
	return lamp.Spec{Schema: 1, Name: "Bench lamp", Revision: 2, Tray: "tray", Strip: "plain", Sheet: "plate", Lining: "film", LineFloor: true, Paint: "black",
		Rows: 9, Units: 7, Along: lamp.AlongLength, Supply: "small", Feed: "first-row", Bus: "wire-20", Lead: "wire-20", LeadLength: 1.5,
		Connector: "socket", Fuse: "fuse-2a5", Mount: "arm",
		Place: brief.Place{MeterDistance: 0.4, EyeDistance: 0.9, LampAboveEye: 0.35}}
}

// Lamp builds the lamp after a change to its document; it panics when the
// document makes no lamp, which is a mistake of the test.
func Lamp(change func(*lamp.Spec)) lamp.Lamp {
	s := Spec()
	if change != nil {
		change(&s)
	}
	l, err := lamp.Build(s, Parts())
	if err != nil {
		panic(err)
	}
	return l
}

// Twin changes a document to the two-channel strip with its dimmer.
func Twin(s *lamp.Spec) {
	s.Strip, s.Supply, s.Connector, s.Fuse, s.Dimmer, s.Bus, s.Lead = "twin", "big", "round", "fuse-4a", "dim-2", "wire-18", "wire-18"
	s.Rows, s.Units = 8, 7
}
