package report

import (
	"bytes"
	"context"
	"regexp"
	"strings"
	"testing"

	"dawnsmith/internal/app"
	"dawnsmith/internal/catalogue"
	"dawnsmith/lamp/brief"
	"dawnsmith/lamp/search"
)

// One lamp of the starter catalogue in every chapter, and a brief that cannot
// be met: the file stands alone and leaves nothing unfilled.
func TestWrite(t *testing.T) {
	a := &app.App{Parts: catalogue.Starter()}
	a.Parts.Trays = a.Parts.Trays[1:2]
	a.Parts.Strips = a.Parts.Strips[1:2]
	b := catalogue.BenchBrief()
	f, err := a.Find(context.Background(), b, 2, nil)
	if err != nil || len(f.Picks) == 0 {
		t.Fatalf("%d picks, %v", len(f.Picks), err)
	}
	var answers []app.Answer
	for _, p := range f.Picks {
		ans, err := a.FromPick(p, b, true)
		if err != nil {
			t.Fatal(err)
		}
		answers = append(answers, ans)
	}
	wish := brief.Brief{Schema: 1, Name: "a wish <b>too bright</b>", Wanted: brief.Wanted{MeterIlluminance: 50000, FaceLuminance: 5000}}
	none, err := a.Find(context.Background(), wish, 1, nil)
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := Write(&out, Input{Found: f, Answers: answers, Others: []search.Found{none}}); err != nil {
		t.Fatal(err)
	}
	html := regexp.MustCompile(`data:image/png;base64,[^"]*`).ReplaceAllString(out.String(), "data:")
	for _, bad := range []string{"<script", "http-equiv=\"refresh", "<no value>", "%!", "NaN", "ZgotmplZ", "<b>too bright", "%!(EXTRA"} {
		if strings.Contains(html, bad) {
			i := strings.Index(html, bad)
			t.Errorf("the report holds %q: …%s…", bad, html[max(0, i-200):min(len(html), i+40)])
		}
	}
	// Nothing is fetched: no src, no link, no url() but fragments; the only
	// addresses are the name spaces of SVG.
	for _, m := range regexp.MustCompile(`(?:src|href)="([^"]*)"|url\(([^)]*)\)|@import`).FindAllStringSubmatch(html, -1) {
		if u := m[1] + m[2]; !strings.HasPrefix(u, "#") && !strings.HasPrefix(u, "data:") {
			t.Errorf("the report fetches %q", m[0])
		}
	}
	for _, want := range []string{"What was wanted?", "Does it meet the brief?", "What is taken for granted?", "What cannot be had", "licensed electrician", "±", "<svg", "evenly bright face"} {
		if !strings.Contains(html, want) {
			t.Errorf("the report lacks %q", want)
		}
	}
	ids := map[string]bool{}
	for _, m := range regexp.MustCompile(` id="([^"]+)"`).FindAllStringSubmatch(html, -1) {
		if ids[m[1]] {
			t.Errorf("id %q stands twice", m[1])
		}
		ids[m[1]] = true
	}
	if len(html) > 1500000 {
		t.Errorf("%d bytes", len(html))
	}
}
