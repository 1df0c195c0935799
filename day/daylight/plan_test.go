package daylight

import (
	"math"
	"testing"
	"time"

	"dawnsmith/finding"

	"pgregory.net/rapid"
)

func events(t *testing.T, name string, lat, lon float64, date string) Day {
	t.Helper()
	d, err := ParseDate(date)
	if err != nil {
		t.Fatal(err)
	}
	day, err := Place{Latitude: lat, Longitude: lon, Zone: zone(t, name)}.Day(d, Sunrise)
	if err != nil {
		t.Fatal(err)
	}
	return day
}

// Days that trip simple formulas. Kinds and minutes after the position theory
// itself; polar day and night, single and triple events at Tromsø are facts of
// its almanac.
func TestAwkwardDays(t *testing.T) {
	const tLat, tLon = 69.6492, 18.9553
	for _, c := range []struct {
		zone     string
		lat, lon float64
		date     string
		kinds    string
		state    State
		hours    float64
	}{
		{"Europe/Oslo", tLat, tLon, "2026-06-21", "", UpAllDay, 24},
		{"Europe/Oslo", tLat, tLon, "2026-12-21", "", DownAllDay, 24},
		{"Europe/Oslo", tLat, tLon, "2026-05-16", "r", Normal, 24},
		{"Europe/Oslo", tLat, tLon, "2026-07-27", "srs", Normal, 24},
		{"America/Anchorage", 64.8378, -147.7164, "2026-06-21", "sr", Normal, 24},
		{"Atlantic/Reykjavik", 64.1466, -21.9426, "2026-06-21", "sr", Normal, 24},
		{"Australia/Lord_Howe", -31.55, 159.08, "2026-10-04", "rs", Normal, 23.5},
		{"Australia/Lord_Howe", -31.55, 159.08, "2026-04-05", "rs", Normal, 24.5},
		{"Europe/Helsinki", 65.01, 25.47, "2026-03-29", "rs", Normal, 23},
		{"Europe/Helsinki", 65.01, 25.47, "2026-10-25", "rs", Normal, 25},
		{"Pacific/Kiritimati", 1.87, -157.43, "2026-03-20", "rs", Normal, 24},
		{"Asia/Kathmandu", 27.7, 85.32, "2026-03-20", "rs", Normal, 24},
		{"UTC", 90, 0, "2026-06-21", "", UpAllDay, 24},
		{"UTC", -90, 0, "2026-06-21", "", DownAllDay, 24},
	} {
		d := events(t, c.zone, c.lat, c.lon, c.date)
		kinds := ""
		for i, e := range d.Events {
			kinds += map[bool]string{true: "r", false: "s"}[e.Rise]
			if e.At.Before(d.Start) || !e.At.Before(d.End) || i > 0 && !e.At.After(d.Events[i-1].At) {
				t.Errorf("%s %s: event %v outside its day or out of order", c.zone, c.date, e.At)
			}
			s, _ := Sun(e.At, Place{Latitude: c.lat, Longitude: c.lon, Zone: time.UTC})
			near(t, "elevation at the event", s.Elevation, Sunrise, 1e-4)
		}
		if kinds != c.kinds || d.State != c.state || d.End.Sub(d.Start).Hours() != c.hours {
			t.Errorf("%s %s: %q %v %v, want %q %v %g h", c.zone, c.date, kinds, d.State, d.End.Sub(d.Start), c.kinds, c.state, c.hours)
		}
	}
	// Tromsø, 27 July 2026: set 00:13, rise 01:29, set 23:59 by the local clock.
	d := events(t, "Europe/Oslo", tLat, tLon, "2026-07-27")
	for i, want := range []string{"00:13", "01:29", "23:59"} {
		w, _ := ParseWall(want)
		on, _ := w.On(d.Date, zone(t, "Europe/Oslo"))
		near(t, want, d.Events[i].At.Sub(on).Seconds(), 30, 90)
	}
}

// A grazing pair between two scan points is not lost: lower the level step by
// step to the day's greatest elevation and both events stay until it is
// passed.
func TestGrazingPairIsFound(t *testing.T) {
	p := Place{Latitude: 69.6492, Longitude: 18.9553, Zone: time.UTC}
	d0, err := p.Day(Date{2026, 1, 20}, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, below := range []float64{1e-2, 1e-3, 1e-4, 1e-5} {
		d, err := p.Day(Date{2026, 1, 20}, d0.Highest-below)
		if err != nil {
			t.Fatal(err)
		}
		if len(d.Events) != 2 || !d.Events[0].Rise || d.Events[1].Rise {
			t.Errorf("%g° under the top: %d events", below, len(d.Events))
		}
	}
	d, err := p.Day(Date{2026, 1, 20}, d0.Highest+1e-4)
	if err != nil || len(d.Events) != 0 || d.State != DownAllDay {
		t.Errorf("over the top: %v, %v", d.Events, err)
	}
}

func TestWallClock(t *testing.T) {
	berlin := zone(t, "Europe/Berlin")
	for _, c := range []struct {
		date, wall string
		fold       Fold
		utc        string
	}{
		{"2026-03-29", "02:30", Skipped, "2026-03-29T01:30:00Z"}, // shown as 03:30
		{"2026-03-29", "03:00", Plain, "2026-03-29T01:00:00Z"},
		{"2026-10-25", "02:30", Twice, "2026-10-25T00:30:00Z"},
		{"2026-10-25", "03:00", Plain, "2026-10-25T02:00:00Z"},
		{"2026-07-01", "12:00", Plain, "2026-07-01T10:00:00Z"},
	} {
		d, _ := ParseDate(c.date)
		w, _ := ParseWall(c.wall)
		got, fold := w.On(d, berlin)
		if fold != c.fold || got.UTC().Format(time.RFC3339) != c.utc {
			t.Errorf("%s %s: %v %v, want %v %s", c.date, c.wall, got.UTC(), fold, c.fold, c.utc)
		}
	}
	// São Paulo had clocks jump at midnight: the day began at 01:00.
	d, fold := Wall{}.On(Date{2018, 11, 4}, zone(t, "America/Sao_Paulo"))
	if fold != Skipped || d.UTC().Format(time.RFC3339) != "2018-11-04T03:00:00Z" {
		t.Errorf("São Paulo midnight: %v %v", d.UTC(), fold)
	}
	rapid.Check(t, func(r *rapid.T) {
		z := zone(t, rapid.SampledFrom([]string{"Europe/Helsinki", "Australia/Lord_Howe", "America/St_Johns", "Pacific/Apia", "Asia/Kathmandu", "UTC"}).Draw(r, "zone"))
		at := time.Unix(rapid.Int64Range(1700000000, 2100000000).Draw(r, "t"), 0)
		got, fold := WallOf(at, z).On(DateOf(at, z), z)
		if fold == Skipped || fold == Plain && !got.Equal(at) || fold == Twice && got.After(at) {
			r.Errorf("%v comes back as %v (%v)", at.In(z), got, fold)
		}
	})
	for _, bad := range []string{"", "25:00", "6.30", "06:30:99", "soon"} {
		if _, err := ParseWall(bad); err == nil {
			t.Errorf("time %q accepted", bad)
		}
	}
	for _, bad := range []string{"", "2026-02-30", "26-1-1", "tomorrow"} {
		if _, err := ParseDate(bad); err == nil {
			t.Errorf("date %q accepted", bad)
		}
	}
}

func FuzzParseWall(f *testing.F) {
	f.Add("06:30")
	f.Add("23:59:59")
	f.Fuzz(func(t *testing.T, s string) {
		w, err := ParseWall(s)
		if err != nil {
			return
		}
		if again, err := ParseWall(w.String()); err != nil || again != w {
			t.Errorf("%q reads as %v, and that as %v, %v", s, w, again, err)
		}
	})
}

func FuzzParseDate(f *testing.F) {
	f.Add("2026-12-21")
	f.Fuzz(func(t *testing.T, s string) {
		d, err := ParseDate(s)
		if err != nil {
			return
		}
		if again, err := ParseDate(d.String()); err != nil || again != d {
			t.Errorf("%q reads as %v, and that as %v, %v", s, d, again, err)
		}
	})
}

// Midday and midnight, east and west: the sun is where it should be.
func TestSunProperties(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		p := Place{Latitude: rapid.Float64Range(-89, 89).Draw(r, "lat"), Longitude: rapid.Float64Range(-180, 180).Draw(r, "lon"), Zone: time.UTC}
		at := time.Unix(rapid.Int64Range(0, 4000000000).Draw(r, "t"), 0)
		s, err := Sun(at, p)
		if err != nil {
			r.Fatal(err)
		}
		// The antipode sees the sun as far below as we see it above.
		anti := Place{Latitude: -p.Latitude, Longitude: math.Mod(p.Longitude+360, 360) - 180, Zone: time.UTC}
		a, err := Sun(at, anti)
		if err != nil {
			r.Fatal(err)
		}
		if math.Abs(a.Elevation+s.Elevation) > 1e-7 {
			r.Errorf("antipode at %g°, here %g°", a.Elevation, s.Elevation)
		}
		if math.Abs(s.Declination) > 23.46 || s.Distance < 0.983 || s.Distance > 1.0175 || math.Abs(s.EquationOfTime) > 17 {
			r.Errorf("%+v", s)
		}
		if s.Refracted < s.Elevation-1e-12 && s.Elevation > -0.5 {
			r.Errorf("refraction lowers the sun: %+v", s)
		}
	})
	for _, p := range []Place{{Latitude: 91, Zone: time.UTC}, {Latitude: math.NaN(), Zone: time.UTC}, {Longitude: 200, Zone: time.UTC}, {}} {
		if _, err := Sun(time.Unix(0, 0), p); err == nil {
			t.Errorf("%+v accepted", p)
		}
	}
	if _, err := Sun(time.Date(1500, 1, 1, 0, 0, 0, 0, time.UTC), Place{Zone: time.UTC}); err == nil {
		t.Error("the year 1500 is accepted")
	}
	pole, _ := Sun(time.Unix(0, 0), Place{Latitude: 90, Zone: time.UTC})
	if pole.AzimuthKnown {
		t.Error("the pole has an azimuth")
	}
}

// CIE 015: daylight at 5 000 K is (0.3457, 0.3587), at 6 504 K (0.3127,
// 0.3291), at 10 000 K (0.2788, 0.2920); the locus has no step at its joins.
func TestLocus(t *testing.T) {
	for _, c := range [][3]float64{{5000, 0.345741, 0.358666}, {6504, 0.312714, 0.329119}, {10000, 0.278800, 0.291967}} {
		x, y, err := Locus(c[0])
		if err != nil {
			t.Fatal(err)
		}
		near(t, "x", x, c[1], 1e-6)
		near(t, "y", y, c[2], 1e-6)
	}
	for _, k := range []float64{4000, 5000} {
		ax, ay, _ := Locus(k - 0.01)
		bx, by, _ := Locus(k + 0.01)
		near(t, "step", math.Hypot(ax-bx, ay-by), 0, 1e-5)
	}
	if _, _, err := Locus(math.NaN()); err == nil {
		t.Error("NaN accepted")
	}
}

// IES mean sky formulas (J. IES 13:381) at 30°: sun and sky 53 600, clear sky
// 11 800, overcast 10 800 lx; twilight figures of the AMS glossary.
func TestHorizontalLux(t *testing.T) {
	for _, c := range []struct {
		h    float64
		sky  Sky
		want float64
	}{
		{30, ClearSun, 53600}, {30, ClearSky, 11800}, {30, Overcast, 10800}, {5, ClearSun, 6400}, {60, ClearSun, 101900}, {45, Overcast, 15100},
		{Sunrise, ClearSky, 500}, {-6, ClearSky, 2.7}, {-12, ClearSky, 0.008}, {-30, ClearSun, 0},
	} {
		got, err := HorizontalLux(c.h, c.sky)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.sky.String(), got, c.want, 0.006*c.want)
	}
	for sky := ClearSun; sky <= Overcast; sky++ {
		last := -1.0
		for h := -20.0; h <= 60; h += 0.05 {
			v, err := HorizontalLux(h, sky)
			if err != nil || v < last {
				t.Fatalf("%v falls at %g°: %g after %g, %v", sky, h, v, last, err)
			}
			last = v
		}
	}
}

func oulu(t *testing.T) Place {
	return Place{Name: "Oulu", Latitude: 65.01, Longitude: 25.47, Zone: zone(t, "Europe/Helsinki")}
}

func TestPlanFollowsTheSun(t *testing.T) {
	p := Plan{Place: oulu(t), Rhythm: DefaultRhythm(Wall{Hour: 7}, Wall{Hour: 23})}
	winter, err := p.Day(Date{2026, 12, 21}, 10*time.Minute)
	if err != nil {
		t.Fatal(err)
	}
	if len(winter.Steps) != 144 || !finding.Has(winter.Findings, "daylight.winter_trap") {
		t.Errorf("December in Oulu: %d steps, %v", len(winter.Steps), winter.Findings)
	}
	summer, err := p.Day(Date{2026, 6, 21}, 10*time.Minute)
	if err != nil {
		t.Fatal(err)
	}
	if finding.Has(summer.Findings, "daylight.winter_trap") {
		t.Errorf("June in Oulu: %v", summer.Findings)
	}
	sum := func(s Schedule) (v float64) {
		for _, st := range s.Steps {
			v += st.Level
		}
		return v
	}
	if !(sum(summer) > 4*sum(winter)) {
		t.Errorf("summer %g, winter %g", sum(summer), sum(winter))
	}
	// By a chosen date December becomes June, to the minute of the clock.
	june := Date{2026, 6, 21}
	p.Follow, p.Date = ChosenSun, &june
	chosen, err := p.Day(Date{2026, 12, 21}, 10*time.Minute)
	if err != nil {
		t.Fatal(err)
	}
	for i := range chosen.Steps {
		if chosen.Steps[i].Setting != summer.Steps[i].Setting {
			t.Fatalf("step %d: %+v, want %+v", i, chosen.Steps[i], summer.Steps[i])
		}
	}
	p.Follow, p.Place.Latitude = TodaysSun, 70
	polar, err := p.Day(Date{2026, 12, 21}, time.Hour)
	if err != nil || !finding.Has(polar.Findings, "daylight.polar_night") {
		t.Errorf("70° N in December: %v, %v", polar.Findings, err)
	}
	south := 0.0
	p.Follow, p.Date, p.Latitude = ChosenSun, nil, &south
	if s, err := p.Day(Date{2026, 12, 21}, time.Hour); err != nil || finding.Has(s.Findings, "daylight.polar_night") || sum(s) < 5 {
		t.Errorf("equator's sun at 70° N: %v, %v", s.Findings, err)
	}
}

func TestAnchorsAreMet(t *testing.T) {
	as := DefaultAnchors()
	for _, a := range as {
		s := anchored(as, a.Elevation)
		near(t, "K", s.Kelvin, a.Kelvin, 1e-9)
		near(t, "level", s.Level, a.Level, 1e-12)
	}
	mid := anchored(as, 10) // halfway from 5° to 15°: mired mean of 3 500 and 4 500 K
	near(t, "mired mean", mid.Kelvin, 3937.5, 1e-9)
	near(t, "level mean", mid.Level, 0.55, 1e-12)
	near(t, "beyond", anchored(as, 80).Kelvin, 5700, 0)
	near(t, "under", anchored(as, -50).Level, 0, 0)
}

func TestPlanFollowsWaking(t *testing.T) {
	p := Plan{Place: oulu(t), Follow: Waking, Rhythm: DefaultRhythm(Wall{Hour: 7}, Wall{Hour: 23})}
	at := func(date string, hour, minute int) Setting {
		d, _ := ParseDate(date)
		on, _ := Wall{Hour: hour, Minute: minute}.On(d, p.Place.Zone)
		s, err := p.At(on)
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	for _, date := range []string{"2026-12-21", "2026-03-29", "2026-10-25"} {
		near(t, "before dawn", at(date, 6, 29).Level, 0, 0)
		near(t, "dawn begins", at(date, 6, 30).Level, 0.001, 1e-12)
		near(t, "halfway", at(date, 6, 45).Level, math.Sqrt(0.001), 1e-9)
		near(t, "halfway K", at(date, 6, 45).Kelvin, 2/(1/2200.0+1/5000.0), 1e-6)
		near(t, "awake", at(date, 7, 0).Level, 1, 0)
		near(t, "afternoon", at(date, 15, 0).Kelvin, 5000, 0)
		near(t, "quiet", at(date, 20, 0).Level, 0.02, 1e-12)
		near(t, "in bed", at(date, 23, 30).Level, 0, 0)
	}
	// A night worker: bed at noon, waking at 20:00, across midnight.
	p.Rhythm = DefaultRhythm(Wall{Hour: 20}, Wall{Hour: 12})
	near(t, "night shift", at("2026-12-21", 3, 0).Level, 1, 0)
	near(t, "night shift evening", at("2026-12-21", 10, 0).Level, 0.02, 1e-12)
	near(t, "night shift sleep", at("2026-12-21", 13, 0).Level, 0, 0)
	// Clocks: a waking time that is skipped, one that comes twice.
	p.Rhythm = DefaultRhythm(Wall{Hour: 3, Minute: 30}, Wall{Hour: 20})
	spring, err := p.Day(Date{2026, 3, 29}, time.Hour)
	if err != nil || !finding.Has(spring.Findings, "daylight.clock_skipped") || len(spring.Steps) != 23 {
		t.Errorf("spring: %v, %d steps, %v", spring.Findings, len(spring.Steps), err)
	}
	autumn, err := p.Day(Date{2026, 10, 25}, time.Hour)
	if err != nil || !finding.Has(autumn.Findings, "daylight.clock_twice") || len(autumn.Steps) != 25 {
		t.Errorf("autumn: %v, %d steps, %v", autumn.Findings, len(autumn.Steps), err)
	}
}

func TestPlanRefusals(t *testing.T) {
	place := oulu(t)
	good := DefaultRhythm(Wall{Hour: 7}, Wall{Hour: 23})
	with := func(f func(*Rhythm)) Rhythm { r := good; f(&r); return r }
	bad := 95.0
	for name, p := range map[string]Plan{
		"no zone":       {},
		"no choice":     {Place: place, Follow: ChosenSun},
		"bad latitude":  {Place: place, Follow: ChosenSun, Latitude: &bad},
		"bad date":      {Place: place, Follow: ChosenSun, Date: &Date{2026, 2, 30}},
		"unknown":       {Place: place, Follow: 9},
		"falling":       {Place: place, Anchors: []Anchor{{5, Setting{3000, 1}}, {0, Setting{3000, 1}}}},
		"dark kelvin":   {Place: place, Anchors: []Anchor{{5, Setting{0, 1}}}},
		"level":         {Place: place, Anchors: []Anchor{{5, Setting{3000, 1.5}}}},
		"nan":           {Place: place, Anchors: []Anchor{{math.NaN(), Setting{3000, 1}}}},
		"no rhythm":     {Place: place, Follow: Waking},
		"hour":          {Place: place, Follow: Waking, Rhythm: with(func(r *Rhythm) { r.Wake.Hour = 30 })},
		"long dawn":     {Place: place, Follow: Waking, Rhythm: with(func(r *Rhythm) { r.Dawn = 5 * time.Hour })},
		"dark dawn":     {Place: place, Follow: Waking, Rhythm: with(func(r *Rhythm) { r.DawnLevel = 0 })},
		"no day":        {Place: place, Follow: Waking, Rhythm: with(func(r *Rhythm) { r.Bed = Wall{Hour: 9} })},
		"dawn over bed": {Place: place, Follow: Waking, Rhythm: with(func(r *Rhythm) { r.Bed = Wall{Hour: 6, Minute: 45} })},
	} {
		if err := p.Validate(); err == nil {
			t.Errorf("%s accepted", name)
		}
	}
	p := Plan{Place: place}
	if _, err := p.Day(Date{2026, 1, 1}, 0); err == nil {
		t.Error("a step of nothing is accepted")
	}
}
