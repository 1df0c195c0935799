package web

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"golang.org/x/net/html"
	"pgregory.net/rapid"

	"dawnsmith/internal/form"
)

// query asks for the sample lamp with any query and tells what is wrong with
// the answer.
func query(s *Server, q string, header ...string) (wrong []string) {
	r := httptest.NewRequest(http.MethodGet, home+"/lamp/oulu-first", nil)
	r.URL.RawQuery = q
	for i := 0; i+1 < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	rec := httptest.NewRecorder()
	s.Handler().ServeHTTP(rec, r)
	if rec.Code >= 500 {
		return []string{rec.Result().Status}
	}
	if to := rec.Header().Get("Location"); to != "" {
		u, err := url.Parse(to)
		if err != nil || u.Path != "/lamp/oulu-first" || u.Host != "" || u.Query().Has("from") {
			return []string{"leads to " + to}
		}
		return query(s, u.RawQuery)
	}
	n, err := html.Parse(rec.Body)
	if err != nil {
		return []string{err.Error()}
	}
	typed := strings.Join([]string{q, rec.Header().Get("X-Address")}, " ")
	if values, err := url.ParseQuery(q); err == nil {
		for _, v := range values {
			typed += " " + strings.Join(v, " ")
		}
	} else {
		typed += " NaN" // what can be read of it is shown
	}
	for _, f := range faults(n) {
		if strings.HasPrefix(f, "it says") && (strings.Contains(typed, "NaN") || strings.Contains(typed, "Inf") || strings.Contains(typed, "%!") || strings.Contains(typed, "<no") || strings.Contains(typed, "<nil") || strings.Contains(typed, "fault is ours")) {
			continue // it repeats what was typed
		}
		if len(header) > 0 && (strings.Contains(f, "which is not there") || strings.HasPrefix(f, `the id "f-drive`) || strings.HasPrefix(f, `the id "i-drive`) || strings.HasPrefix(f, `the id "e-drive`)) {
			continue // it leads to the page around the blocks, or is in the block of all drives and by itself
		}
		wrong = append(wrong, f)
	}
	return wrong
}

// Whatever stands behind the question mark: no failure inside, no nonsense
// among the numbers, nothing that runs.
func FuzzLampQuery(f *testing.F) {
	for _, q := range []string{"", "rows=8", "rows=0", "rows=1e9&units_per_row=-1", "rows=", "lead_length=NaN+mm", "lead_length=1e308+m", "lead_length=-0+mm", "place.eye_distance=0+mm", "place.eye_distance=1e-300+m",
		"place.tilt_fixed=on&place.tilt=90%C2%B0", "place.air_at_lamp=-300+%C2%B0C", "place.air_at_lamp=95+%C2%B0C", "drive.white=0+%25", "drive.white=1e-9+%25", "drive.none=50+%25", "tray=&strip=", "sheet=", "lining=&line_floor=on",
		"row_lines=12,12,12+mm", "row_lines=1,2,3,4,5,6,7,8,9+mm", "row_pitch=1+nm", "second_strip=warm-24v-120&drive.warm=30+%25", "second_strip=twin-24v-120", "second_strip=warm-24v-120&feed=serpentine", "second_strip=none&rows=1", "second_sheet=half-film", "sheet=&second_sheet=half-film", "staggered=on&rows=20", "staggered=on&units_per_row=99", "place.monitor_distance=600+mm&place.monitor_edge_above_eye=1.9+m", "place.monitor_edge_above_eye=190+mm", "place.monitor_distance=1+mm", "reading=tray%3D42+%C2%B0C%4030+min", "reading=tray%3D-300+%C2%B0C", "reading=roof%3D42+%C2%B0C", "reading=%3D%3B%3B", "feed=middle-row", "feed=none", "supply=none", "fuse=&dimmer=&mount=", "brief=oulu-bench", "brief=oulu-bright&place.meter_distance=100+mm", "brief=..%2F..",
		"from=rows%3D8&rows=7&ticks=line_floor", "from=%25zz", "from=&ticks=x&as=y", "typed.rows=%3Cb%3E", "typed.typed.rows=1", "override.heat.touch=it+hangs+out+of+reach+behind+a+grille", "override.=x", "name=&note=%00", "%zz", ";;;", "rows=8;rows=9", "a=b&a=c",
		"strip=white-12v-60", "along=width", "wired_margin=10+m", "place.brow_limit=-90%C2%B0&place.cheek_limit=90%C2%B0", "place.surround_luminance=0+cd%2Fm%C2%B2", "place.lamp_aside=99+m", "revision=7", "parts=x", "rows=%F0%9F%92%A1"} {
		f.Add(q)
	}
	s, _ := testServer(f)
	f.Fuzz(func(t *testing.T, q string) {
		t.Parallel()
		if len(q) > 4<<10 || strings.Contains(q, "sure") {
			return // a second each
		}
		if wrong := query(s, q); len(wrong) > 0 {
			t.Errorf("%q: %s", q, strings.Join(wrong, "; "))
		}
	})
}

// Likewise for what a person might set fields to, several at once: ends of
// ranges, other units, other parts.
func FuzzLampFields(f *testing.F) {
	s, _ := testServer(f)
	p, err := s.readLamp("oulu-first", nil)
	if err != nil {
		f.Fatal(err)
	}
	changes := anyFields(p.fields(s.lamps), s)
	for seed := range 12 {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, seed int) {
		t.Parallel()
		q := changes.Example(seed).Encode()
		header := []string{}
		if seed%2 == 0 {
			header = []string{"X-Fragment", "now", "X-View", "p-plan p-section p-side p-wiring p-ripple p-currents p-warm"}
		}
		if wrong := query(s, q, header...); len(wrong) > 0 {
			t.Errorf("%s: %s", q, strings.Join(wrong, "; "))
		}
	})
}

// anyFields draws changes of a lamp.
func anyFields(fields []form.Field, s *Server) *rapid.Generator[url.Values] {
	amounts := []string{"0 mm", "1 mm", "2 in", "40 cm", "1 m", "20 m", "1e-12 m", "1e12 m", "0°", "45°", "-90°", "179°", "25 °C", "-40 °C", "60 °C", "300 K", "0 %", "1 %", "37 %", "100 %", "0 cd/m²", "50 cd/m²", "1e9 cd/m²", "-1 mm", "NaN mm", "9", ""}
	return rapid.Custom(func(rt *rapid.T) url.Values {
		q := url.Values{}
		for range rapid.IntRange(1, 5).Draw(rt, "n") {
			f := rapid.SampledFrom(fields).Draw(rt, "field")
			var texts []string
			switch f.Kind {
			case form.Pick:
				texts = []string{"", "none-such"}
				for _, o := range append(form.PartOptions(s.app.Parts, f.Part), f.Options...) {
					texts = append(texts, o.Value)
				}
			case form.Whole:
				texts = []string{"0", "1", "2", "5", "12", "40", "999999", "-1", "x"}
			case form.Tick:
				texts = []string{"on", ""}
			case form.Amounts:
				texts = []string{"", "20, 60, 100 mm", "0 mm", "5, 5 mm", "10, 20, 30, 40, 50, 60, 70, 80 mm", "200, 100 mm", "1e9 mm"}
			case form.Amount:
				texts = amounts
			default:
				texts = []string{"", "x", "ünï ☼", strings.Repeat("long ", 80)}
			}
			q.Set(f.Key, rapid.SampledFrom(texts).Draw(rt, "text"))
		}
		if rapid.Bool().Draw(rt, "held against a brief") {
			q.Set("brief", rapid.SampledFrom([]string{"oulu-bench", "oulu-bright"}).Draw(rt, "brief"))
		}
		return q
	})
}
