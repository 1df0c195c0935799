package buildpack

import (
	"fmt"
	"math"
	"strings"

	"dawnsmith/lamp"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/portrait"
	"dawnsmith/quantity"
)

// Part is a stretch of the work with its picture.
type Part struct {
	Letter  string // "A"
	Title   string
	Picture draw.Scene
	Steps   []Step
}

// Step is one thing to do, or a point at which to hold until a check passes.
type Step struct {
	ID string // "B3"
	Do string
	// Parts are the lines of the shopping list it takes, as "kind/id".
	Parts []string
	// Refs are what it refers to: "drawing 4", "ruler B1", "R2", "T1",
	// "wire list", "shopping list". All stand on earlier pages.
	Refs []string
	// Hold marks a point not to pass before the check does.
	Hold bool
	// IfNot says what to do when the check fails.
	IfNot string
}

// bench collects the steps of one part.
type bench struct {
	part Part
}

func (b *bench) do(s Step) {
	s.ID = fmt.Sprintf("%s%d", b.part.Letter, len(b.part.Steps)+1)
	b.part.Steps = append(b.part.Steps, s)
}

// steps writes the order of work.
func (p *Pack) steps() []Part {
	var out []Part
	open := func(title string, picture draw.Scene) *bench {
		return &bench{Part{Letter: string(rune('A' + len(out))), Title: title, Picture: picture}}
	}
	for _, make := range []func(func(string, draw.Scene) *bench) *bench{
		p.trayPart, p.rowPart, p.busPart, p.leadPart, p.testPart, p.powerPart, p.closePart,
	} {
		out = append(out, make(open).part)
	}
	return out
}

type opener = func(string, draw.Scene) *bench

func (p *Pack) trayPart(open opener) *bench {
	l := p.lamp()
	b := open("The tray", portrait.TrayDetail(l, p.plan))
	tray := "tray/" + l.Tray.ID
	b.do(Step{Do: "Lay out everything on the shopping list and tick it off. Read the cautions once more. Work where there is light and air; wear eye protection for cutting, drilling and soldering.", Refs: []string{"shopping list"}})
	b.do(Step{Hold: true, Parts: append([]string{tray}, strips(l)...), Refs: []string{"cut list", cutDrawing},
		Do:    fmt.Sprintf("Measured twice. Unroll the strip, mark its factory joints, and fill in “Measure before you cut” of the cut list: the tray's flat floor, not its rim (%s × %s are planned), and every reel of %s. Measure each twice, on different days or by different hands if you can.", mm(l.Tray.Length), mm(l.Tray.Width), cutDrawing),
		IfNot: "Cut nothing by this pack. Work the lamp out again with the true sizes, and print the new pack."})
	hole := fmt.Sprintf("Drill the hole for the lead, %s, in %s", mm(p.plan.Entry.Hole), p.plan.Entry.Wall)
	if p.plan.Entry.At.X > 0 {
		hole += fmt.Sprintf(", %s from the end wall (%s)", mm(p.plan.Entry.At.X), planDrawing)
	} else {
		hole += " (" + planDrawing + ")"
	}
	b.do(Step{Parts: []string{tray}, Refs: []string{planDrawing, templateDrawing}, Do: hole + fmt.Sprintf(", its middle %s above the floor; the template shows it on the wall folded down. Drill two holes", mm(portrait.HoleHeight(l, p.plan))) + " for the clip outside. Check the grommet's own size first. Deburr both sides and press the grommet in."})
	if l.Mount != nil {
		b.do(Step{Parts: []string{tray, "mount/" + l.Mount.ID}, Refs: []string{sightDrawing}, Do: fmt.Sprintf("Drill the holes for the mount so that it holds the lamp within 10\u202fmm of its middle, turned as in "+sightDrawing+" (the lamp weighs about %s), and a separate hole for a safety cord. No screw may stand under a row. Thin metal wants a plate or wide washers inside.", short(l.Mass(), quantity.Mass, 2))})
	} else {
		b.do(Step{Parts: []string{tray}, Do: fmt.Sprintf("Drill the holes for hanging the lamp (it weighs about %s) and a separate hole for a safety cord. No screw may stand under a row.", short(l.Mass(), quantity.Mass, 2))})
	}
	if l.Paint != nil {
		b.do(Step{Parts: []string{tray, "consumable/" + l.Paint.ID}, Do: fmt.Sprintf("Degrease the back, mask the inside, and paint the back with %s; let it dry as its label says, with open windows. It keeps the lamp cooler.", l.Paint.Name)})
	}
	b.do(Step{Hold: true, Do: "Swarf. Brush or vacuum every chip out of the tray, wipe it, and run a finger along each hole and edge.", IfNot: "A sharp edge cuts insulation and a chip shorts a row: deburr and brush again before you go on."})
	return b
}

// task is a task of the wiring's order of work, as a sentence.
func (p *Pack) task(key string) string {
	for _, t := range p.plan.Tasks {
		if t.Key == key {
			return strings.ToUpper(t.Do[:1]) + t.Do[1:]
		}
	}
	return ""
}

// strips are the parts that the rows are cut from.
func strips(l lamp.Lamp) []string {
	var out []string
	for _, s := range l.Strips() {
		out = append(out, "strip/"+s.ID)
	}
	return out
}

func (p *Pack) rowPart(open opener) *bench {
	l := p.lamp()
	b := open("The rows", portrait.RowDetail(l, p.plan))
	tray := "tray/" + l.Tray.ID
	b.do(Step{Parts: []string{tray}, Do: "Degrease the floor with alcohol and let it dry. The room and the metal should be at 18\u202f°C or more, or the tape will not hold."})
	b.do(Step{Parts: []string{tray}, Refs: []string{planDrawing, templateDrawing}, Do: p.task("mark") + " (" + planDrawing + "). Or lay the template in: measure its check rule first, join its sheets cross on cross, cut along the floor's line, and prick the row ends through."})
	b.do(Step{Parts: []string{tray}, Do: p.task("tape") + ". A row end pressed on bare metal is a short."})
	b.do(Step{Parts: strips(l), Refs: []string{cutDrawing}, Do: p.task("cut-rows") + " (" + cutDrawing + "). Cut straight through the middle of the pads; where a cut falls on a factory joint, unsolder the overlap instead."})
	b.do(Step{Parts: append(strips(l), tray), Do: p.task("stick") + ". Lay a row down slowly from its wired end; do not bend it sharply or pull it off again."})
	if p.plan.Splices() > 0 {
		b.do(Step{Parts: append(strips(l), "wire/"+l.Bus.ID), Refs: []string{"wire list", cutDrawing}, Do: p.task("splice") + " (S in the wire list, " + cutDrawing + " shows the rows). Tin pads and wire first; two seconds of heat on a pad are enough."})
	}
	if l.Interleaved() {
		n := l.ChannelNames()
		b.do(Step{Hold: true, Refs: []string{planDrawing}, Do: fmt.Sprintf("Turns. Read the rows one by one from the entry: %s, %s, %s, %s and so on ("+planDrawing+"); the writing on the two strips differs, their look hardly.", n[0], n[1], n[0], n[1]),
			IfNot: "Two neighbours of one colour make a stripe, and their minus would get the wrong wire: peel the row off now and lay the right one."})
	}
	b.do(Step{Hold: true, Refs: []string{wiringDrawing}, Do: fmt.Sprintf("Polarity. Read the marks on both ends of all %d rows, one by one: the plus lies towards the wall of row 1 everywhere (%s).", l.Spec.Rows, wiringDrawing),
		IfNot: "A reversed row stays dark, and some strips die of it: peel it off now, while the tape is fresh, turn it round, press it down on new tape."})
	if l.Lining != nil {
		lining := "lining/" + l.Lining.ID
		do := "Line the four walls by the cut list; the lining ends below the rim's ledge."
		if l.Spec.LineFloor {
			do = "Line the floor between the rows and the four walls by the cut list. Nothing may cover an LED or a pad."
		}
		if l.Lining.Conducting {
			do += " This lining conducts: keep it 2\u202fmm off every pad, row end and wire, and tape its edges."
		}
		b.do(Step{Parts: []string{lining, tray}, Refs: []string{"cut list"}, Do: do})
	}
	b.do(Step{Do: "Leave the tape of the rows to take hold: full strength comes after one to three days; in the first day handle it gently and do not power it for long."})
	return b
}

func (p *Pack) lowerTask(key string) string {
	s := p.task(key)
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}

func (p *Pack) busPart(open opener) *bench {
	l := p.lamp()
	bus := "wire/" + l.Bus.ID
	if len(p.plan.Buses) == 0 && len(p.plan.Links) == 0 {
		b := open("Pads", portrait.RowDetail(l, p.plan))
		b.do(Step{Do: "Tape over every pad that gets no wire."})
		return b
	}
	if len(p.plan.Links) > 0 {
		b := open("The links", portrait.LinkDetail(l, p.plan))
		b.do(Step{Parts: []string{bus}, Refs: []string{"wire list", wiringDrawing}, Do: p.task("links") + ": each joins the same pad of two neighbouring rows (wire list, " + wiringDrawing + "). Tin pads and wire ends first; two seconds of heat on the pad are enough."})
		p.afterTaps(b)
		return b
	}
	b := open("The bus wires", portrait.BusDetail(l, p.plan))
	var rulers []string
	for _, u := range p.plan.Buses {
		rulers = append(rulers, "ruler "+u.Code)
	}
	b.do(Step{Parts: []string{bus}, Refs: append([]string{"wire list"}, rulers...), Do: p.task("bare") + fmt.Sprintf(" (%s, wire list). First measure the check rule on the rulers' page: it must be 100.0\u202fmm long. Cut round the insulation without nicking a strand, and slide or peel it off.", list(rulers))})
	b.do(Step{Parts: strips(l)[:1], Do: "If you have never soldered: make ten joints on an offcut of strip first. Heat the pad with the iron, feed solder to the pad and not to the iron, take the solder away, then the iron; pull at the wire when it has cooled."})
	b.do(Step{Refs: []string{wiringDrawing}, Do: "Hold each bus to its rows and see that every window meets a pad of its own polarity (" + wiringDrawing + ")."})
	var alone []string
	for c := range p.plan.Conductors {
		alone = append(alone, conductorDrawing(c))
	}
	b.do(Step{Parts: []string{bus}, Refs: alone, Do: p.task("taps") + ", one conductor after the other (" + list(alone) + "). Two seconds of heat on the pad are enough; a good joint is smooth and shows the wire's shape."})
	p.afterTaps(b)
	return b
}

// afterTaps is what follows once the taps are soldered.
func (p *Pack) afterTaps(b *bench) {
	unused := 0
	for _, r := range p.plan.Rows {
		for _, pad := range r.Pads {
			if !pad.Used {
				unused++
			}
		}
	}
	if unused > 0 {
		b.do(Step{Do: fmt.Sprintf("Tape over the %d pads that got no wire: they are live too.", unused)})
	}
	b.do(Step{Hold: true, Do: "Insulation. With a lens and a bright light look at every joint: no strand sticks out, no solder reaches the next pad, no bare copper is nearer than 2\u202fmm to the tray unless tape lies between. Wash off flux.",
		IfNot: "Suck or wick off the solder, straighten the strand, lay tape; look again."})
}

// readingsNamed joins readings: "reading R1", "readings R1 and R2".
func readingsNamed(ids []string) string {
	if len(ids) == 1 {
		return "reading " + ids[0]
	}
	return "readings " + list(ids)
}

// list joins words: "a, b and c".
func list(words []string) string {
	switch len(words) {
	case 0:
		return ""
	case 1:
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

func (p *Pack) leadPart(open opener) *bench {
	l := p.lamp()
	b := open("Lead, fuse and connector", portrait.LeadDetail(l, p.plan))
	lead, con := "wire/"+l.Lead.ID, "connector/"+l.Connector.ID
	var names []string
	for _, w := range p.plan.Wires {
		if w.Role == lamp.LeadWire {
			names = append(names, fmt.Sprintf("%s %s", w.Code, mm(w.Length)))
		}
	}
	b.do(Step{Parts: []string{lead}, Refs: []string{"wire list"}, Do: fmt.Sprintf("The supply stays unplugged and away from the bench. Cut the conductors of the lead by the wire list: %s. Mark plus and minus at both ends, push the sleeves on now, lead them through the grommet, and screw the clip down outside.", list(names))})
	var ends []string
	for _, r := range p.plan.Runs {
		ends = append(ends, r.Code+" to the "+r.To)
	}
	parts := []string{lead}
	for _, r := range p.plan.Runs {
		if r.Code[0] == 'X' {
			b.do(Step{Parts: []string{lead}, Refs: []string{"wire list"}, Do: "Cut the cross wires by the wire list and lay them along the wall beside row 1."})
			break
		}
	}
	b.do(Step{Parts: parts, Refs: []string{wiringDrawing}, Do: fmt.Sprintf("Solder inside the tray: %s (%s). Shrink a sleeve over every joint.", strings.Join(ends, "; "), wiringDrawing)})
	if l.Fuse != nil && l.Dimmer != nil {
		b.do(Step{Parts: []string{"fuse/" + l.Fuse.ID, lead}, Refs: []string{wiringDrawing}, Do: fmt.Sprintf("Solder the fuse holder between two pieces of lead wire, 150\u202fmm each: it goes into the plus between supply and dimmer (%s); sleeve both joints. Fuse: %s. Never put in a larger one, or a piece of wire.", wiringDrawing, short(l.Fuse.Rating, quantity.Current, 3))})
	} else if l.Fuse != nil {
		b.do(Step{Parts: []string{"fuse/" + l.Fuse.ID}, Refs: []string{wiringDrawing}, Do: fmt.Sprintf("Cut L+ within 100\u202fmm of its outer end and solder the fuse holder in (%s); sleeve both joints. Fuse: %s. Never put in a larger one, or a piece of wire.", wiringDrawing, short(l.Fuse.Rating, quantity.Current, 3))})
	}
	poles := fmt.Sprintf("Solder the connector, %s: plus to its plus pole, ", l.Connector.Name)
	for c := 1; c < len(p.plan.Conductors); c++ {
		if c > 1 {
			poles += ", "
		}
		poles += p.plan.Conductors[c].Name + " to its own pole"
	}
	b.do(Step{Parts: []string{con}, Refs: []string{wiringDrawing}, Do: poles + " (" + wiringDrawing + "). On a barrel the middle pin is plus only by habit: the supply's own marking decides. Sleeve every pole."})
	if l.Dimmer != nil {
		b.do(Step{Parts: []string{"dimmer/" + l.Dimmer.ID}, Refs: []string{wiringDrawing}, Do: fmt.Sprintf("Connect the dimmer, %s, as %s shows, with the supply unplugged: its input from the supply by way of the socket that takes the supply's plug%s, its outputs to the mate of the lamp's connector. Read the dimmer's own marks for plus and minus.", l.Dimmer.Name, wiringDrawing, map[bool]string{true: " and the fuse in the plus", false: ""}[l.Fuse != nil])})
	}
	b.do(Step{Hold: true, Do: "Strain. Hold the tray and pull the lead with the force of a full bottle: nothing moves inside.", IfNot: "Tighten the clip or add a second one; look at the joints inside again."})
	return b
}

func (p *Pack) testPart(open opener) *bench {
	l := p.lamp()
	b := open("Tests before any power", portrait.ProbeDetail(p.plan))
	r, f := p.readingFor, p.faultFor
	b.do(Step{Do: "Brush out the tray once more, turn it over and tap it: nothing may fall out."})
	short := []string{}
	for c := 1; c < len(p.plan.Conductors); c++ {
		short = append(short, r("resistance, plus to "+p.plan.Conductors[c].Name))
	}
	b.do(Step{Hold: true, Refs: append(short, f("A few ohms")), Do: fmt.Sprintf("Short test. Take %s of the sheet of readings and write down what you read.", readingsNamed(short)), IfNot: "Do not connect anything. Follow " + f("A few ohms") + " of the table of faults until the reading is right."})
	tray := []string{r("resistance, plus to tray")}
	for c := 1; c < len(p.plan.Conductors); c++ {
		tray = append(tray, r("resistance, "+p.plan.Conductors[c].Name+" to tray"))
	}
	b.do(Step{Hold: true, Refs: append(tray, f("Less than a megohm")), Do: fmt.Sprintf("Insulation test. Take readings %s.", list(tray)), IfNot: "Follow " + f("Less than a megohm") + "."})
	v := r("supply voltage")
	b.do(Step{Hold: true, Parts: []string{"supply/" + l.Supply.ID}, Refs: []string{v}, Do: fmt.Sprintf("Polarity of the supply. Plug the supply in alone, take reading %s at its plug, and see that plus is where the lamp's connector has its plus. Unplug it again.", v),
		IfNot: "Wrong voltage: do not use this supply. Wrong polarity: change the connector's wires on the lamp's side; never open the supply."})
	return b
}

func (p *Pack) powerPart(open opener) *bench {
	l := p.lamp()
	r, f := p.readingFor, p.faultFor
	amps, _ := p.value("supply_current_a")
	b := open("First power", portrait.FirstPowerDetail(l.Supply.Voltage.X, limitAmps(amps)))
	low := r("current, first power-up")
	b.do(Step{Hold: true, Refs: []string{low, f("The bulb"), f("The whole lamp"), f("One row")},
		Do: fmt.Sprintf("Limited power-up. Either a bench supply at %s with its current limited to %s, or the lamp's own supply with a shielded filament bulb in series with the plus, rated for %s or more and about %s; a bulb for a lower voltage can burst if the lamp is shorted. Switch on for ten seconds and take reading %s: every row glows, dim and alike, nothing smells or gets hot.",
			short(l.Supply.Voltage.X, quantity.Voltage, 3), short(limitAmps(amps), quantity.Current, 2), short(l.Supply.Voltage.X, quantity.Voltage, 3), bulb(amps*l.Supply.Voltage.X), low),
		IfNot: fmt.Sprintf("Switch off. All dark: %s. One row dark: %s. Bulb bright: %s.", f("The whole lamp"), f("One row"), f("The bulb"))})
	full := r("current, full power")
	b.do(Step{Hold: true, Parts: []string{"supply/" + l.Supply.ID}, Refs: []string{full, f("The current is more"), f("The current is less")},
		Do:    fmt.Sprintf("Full power. The tray is still open: lay the uncut sheet over it, or white paper held clear of the strips, and do not look at the LEDs. Switch on with the lamp's own supply and take reading %s.", full),
		IfNot: fmt.Sprintf("Switch off. Too much: %s. Too little: %s.", f("The current is more"), f("The current is less"))})
	near, far := r("voltage at the pads of row 1"), r(fmt.Sprintf("voltage at the pads of row %d, far", l.Spec.Rows))
	b.do(Step{Refs: []string{near, far, f("The far rows")}, Do: fmt.Sprintf("Shade the LEDs beside the pads and take readings %s and %s. If they are lower than the sheet allows, see %s.", near, far, f("The far rows"))})
	return b
}

// bulb is a usual wattage of about half the lamp's watts, in words.
func bulb(watts float64) string {
	for _, w := range []float64{5, 10, 21, 40, 60, 100} {
		if w >= 0.35*watts {
			return fmt.Sprintf("%.0f\u202fW", w)
		}
	}
	return "100\u202fW"
}

func (p *Pack) closePart(open opener) *bench {
	l := p.lamp()
	r, f := p.readingFor, p.faultFor
	b := open("Sheet, hanging, soak", portrait.CloseDetail(l))
	if s := l.Sheets(); len(s) > 0 {
		a, w := sheetSize(l)
		ids := []string{"sheet/" + s[0].ID}
		if len(s) == 2 {
			if s[1].ID != s[0].ID {
				ids = append(ids, "sheet/"+s[1].ID)
			}
			order := fmt.Sprintf("%s on %s, that one towards the LEDs,", s[1].Name, s[0].Name)
			if s[0].ID == s[1].ID {
				order = "one on the other"
			}
			b.do(Step{Parts: ids, Refs: []string{"cut list", sectionDrawing}, Do: fmt.Sprintf("Cut both sheets to %s × %s (cut list), peel their films, wipe the dust off, lay %s and hold both in the rim with foam tape or clips (%s). No solvent glue on plastic, and none between the sheets. From now on they stay on whenever the lamp is lit.",
				mm(a), mm(w), order, sectionDrawing)})
		} else {
			b.do(Step{Parts: ids, Refs: []string{"cut list", sectionDrawing}, Do: fmt.Sprintf("Cut the sheet to %s × %s (cut list), peel its film, and hold it in the rim with foam tape or clips (%s). No solvent glue on plastic. From now on it stays on whenever the lamp is lit.", mm(a), mm(w), sectionDrawing)})
		}
	}
	hang := "Hang the lamp where it will be used, 50\u202fmm free above and behind, nothing that burns near it"
	parts := []string{}
	if l.Mount != nil {
		hang += ", on its mount"
		parts = append(parts, "mount/"+l.Mount.ID)
	}
	b.do(Step{Parts: parts, Refs: []string{sightDrawing}, Do: hang + fmt.Sprintf(" (%s). Fix the safety cord to a point of its own. Lead the cable so that nobody can catch in it, with slack at every joint of the arm.", sightDrawing)})
	temps := []string{r("hottest strip"), r("back of the tray")}
	if l.Sheet != nil {
		temps = append(temps, r("sheet, middle"))
	}
	temps = append(temps, r("supply's case"))
	b.do(Step{Hold: true, Refs: append([]string{f("Hotter")}, temps...), Do: fmt.Sprintf("Soak. Run it at full power for %s while you stay in the room, then take readings %s. The lamp is not left alone before this has passed.", p.soak(), list(temps)),
		IfNot: "Switch off. Follow " + f("Hotter") + "."})
	var lux []string
	for _, x := range p.readings {
		if x.Unit == "lx" {
			lux = append(lux, x.ID)
		}
	}
	b.do(Step{Refs: append([]string{f("Less light")}, lux...), Do: fmt.Sprintf("Measure the light: readings %s. If it is less than the sheet allows, see %s. A reading is worth more than any number printed here.", list(lux), f("Less light"))})
	b.do(Step{Refs: []string{"nameplate"}, Do: "Fill in the nameplate, cut it out, and stick it on the back under clear film. Keep this pack with the lamp."})
	return b
}

// minutes of all the electrical work, rounded to the quarter of an hour.
func (p *Pack) hours() string {
	m := math.Ceil(p.plan.Minutes()/15) * 15
	return fmt.Sprintf("about %s\u202fh", quantity.Digits(m/60, 2))
}

// liningPieces lists what to cut from the lining.
func liningPieces(l lamp.Lamp) []cutPiece {
	if l.Lining == nil {
		return nil
	}
	play := 0.001
	if l.Lining.Conducting {
		play = 0.004 // 2 mm off everything on either side
	}
	h := l.Height() - play
	out := []cutPiece{
		{"wall, long side", l.Tray.Length - play, h, 2, ""},
		{"wall, short side", l.Tray.Width - play, h, 2, ""},
	}
	if !l.Spec.LineFloor {
		return out
	}
	// One piece for each width, however many rows it lies between.
	add := func(name string, width float64) {
		if width -= play; width <= 0.002 {
			return
		}
		for i := range out {
			if out[i].name == name && math.Abs(out[i].width-width) < 5e-5 {
				out[i].count++
				return
			}
		}
		out = append(out, cutPiece{name, l.RunLength() - play, width, 1, ""})
	}
	for i := range l.Spec.Rows - 1 {
		add("floor, between rows", l.RowGap(i)-l.Strip.Width)
	}
	add("floor, along the walls", l.RowAt(0)-l.Strip.Width/2)
	add("floor, along the walls", l.Across()-l.RowAt(l.Spec.Rows-1)-l.Strip.Width/2)
	return out
}

// cutPiece is a rectangle to cut, m.
type cutPiece struct {
	name          string
	length, width float64
	count         int
	part          string // its id
}
