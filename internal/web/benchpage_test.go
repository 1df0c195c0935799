package web

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

// The pages of the bench: what they say, and what they say of nonsense.
func TestBenchPages(t *testing.T) {
	s, _ := testServer(t)
	get := func(path string) (int, string) {
		w := httptest.NewRecorder()
		s.Handler().ServeHTTP(w, httptest.NewRequest(http.MethodGet, "http://127.0.0.1:8465"+path, nil))
		return w.Code, w.Body.String()
	}
	for _, c := range []struct {
		path string
		code int
		want []string
	}{
		{"/bench", 200, []string{"Measure a sheet", "Measure a supply", "/lamp/oulu-first/wrong"}},
		{"/gauge/sheet", 200, []string{"laid on the meter", "never towards eyes"}},
		// T = 520/1000; R = √(1 − T²/T₂) = √(1 − 0.52²/0.345) = 0.465 for like sheets.
		{"/gauge/sheet?id=opal-acrylic&with=520+lx&without=1000+lx&two=345+lx", 200, []string{"0.520 ±", "0.47 ±", "/gauge/sheet/part?"}},
		{"/gauge/sheet?id=opal-acrylic&with=520&without=1000+lx", 200, []string{"the unit is missing", "aria-invalid"}},
		{"/gauge/sheet?id=opal-acrylic&with=520+lx", 200, []string{"This reading is missing"}},
		{"/gauge/strip?id=white-24v-120&length=300+mm", 200, []string{"These readings alone give nothing"}},
		{"/gauge/strip?id=white-24v-120&length=300+mm&lux=38+lx&distance=0.5+m", 200, []string{"five times the length"}},
		{"/gauge/sheet/part?id=opal-acrylic&with=520+lx&without=1000+lx", 200, []string{`id = "opal-acrylic"`, "0.52 ±"}},
		{"/gauge/sheet/part", 422, []string{"give no part yet"}},
		{"/gauge/teapot", 404, []string{"no such bench procedure"}},
		{"/lamp/oulu-first/feeds", 200, []string{"Where shall the rows be fed", "feed=middle-row", `aria-current="true"`}},
		{"/lamp/oulu-first/wrong", 200, []string{"Switch off and unplug", "Row by row"}},
		{"/lamp/oulu-first/wrong?w.lit=yes&w.seen3=from&w.unit3=4&w.near3=23.5+V", 200, []string{"rail of row 3 is open after unit 3", "Look next"}},
		{"/lamp/oulu-first/wrong?w.seen3=from&w.unit3=40", 200, []string{"units are numbered 1 to 7"}},
		{"/lamp/oulu-first/wrong?w.near3=much", 200, []string{"Row 3, wired end"}},
		{"/lamp/none/wrong", 404, []string{"There is no lamp"}},
	} {
		code, body := get(c.path)
		if code != c.code {
			t.Errorf("%s: %d, want %d", c.path, code, c.code)
		}
		for _, want := range c.want {
			if !strings.Contains(body, want) {
				t.Errorf("%s does not say %q", c.path, want)
			}
		}
		if strings.Contains(body, "NaN") || strings.Contains(body, "fault is ours") {
			t.Errorf("%s:\n%s", c.path, body)
		}
	}
}
