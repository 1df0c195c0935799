//go:build browser

package web

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"net"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/network"
	cdp "github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"dawnsmith/internal/app"
	"dawnsmith/internal/catalogue"
	"dawnsmith/internal/shelf"
)

// visitor is a browser at a server of its own, over a folder of its own.
type visitor struct {
	*testing.T
	ctx  context.Context
	url  string
	dir  string
	seen func() []string // addresses that were asked for
}

// visit starts a server and a browser; the test is skipped where there is no
// Chromium.
func visit(t *testing.T) *visitor {
	t.Helper()
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome", "chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			path = p
			break
		}
	}
	if path == "" {
		t.Skip("no Chromium here: the page is tried without a browser only")
	}
	dir := t.TempDir()
	sh, err := shelf.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	s, err := New(Options{App: &app.App{Parts: catalogue.Starter(), Workers: 2}, Shelf: sh})
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	serving, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(serving, l) }()
	t.Cleanup(func() {
		stop()
		if err := <-ended; err != nil {
			t.Errorf("serving ended with %v", err)
		}
	})
	ctx, cancel := cdp.NewContext(context.Background(), cdp.WithAllocatorOptions(cdp.ExecPath(path), cdp.NoSandbox, cdp.Headless, cdp.DisableGPU, cdp.NoFirstRun,
		cdp.Flag("disable-quic", true), cdp.Flag("disable-background-networking", true), cdp.Flag("disable-component-update", true),
		cdp.Flag("disable-sync", true), cdp.UserDataDir(t.TempDir()), cdp.WindowSize(1280, 900)))
	ctx, cancel2 := context.WithTimeout(ctx, 90*time.Second)
	t.Cleanup(func() { cancel2(); cancel() })
	var asked []string
	done := make(chan struct{})
	events := cdp.Events(ctx, network.RequestWillBeSent)
	if _, err := cdp.Call(ctx, network.Enable, network.EnableParams{}); err != nil {
		t.Fatal(err)
	}
	go func() {
		defer close(done)
		for ev, err := range events {
			if err != nil {
				return
			}
			asked = append(asked, ev.Request.URL)
		}
	}()
	return &visitor{T: t, ctx: ctx, url: "http://" + l.Addr().String(), dir: dir, seen: func() []string { cancel(); <-done; return asked }}
}

func (v *visitor) do(steps ...cdp.Action[cdp.Void]) {
	v.Helper()
	if err := cdp.Do(v.ctx, steps...); err != nil {
		v.Fatal(err)
	}
}

func run[T any](v *visitor, a cdp.Action[T]) T {
	v.Helper()
	x, err := cdp.Run(v.ctx, a)
	if err != nil {
		v.Fatal(err)
	}
	return x
}

// wait waits until an expression of the page is true.
func (v *visitor) wait(expr string) {
	v.Helper()
	for end := time.Now().Add(30 * time.Second); ; {
		// While one page gives way to another there is nothing to ask.
		is, err := cdp.Run(v.ctx, cdp.Evaluate[bool]("!!("+expr+")"))
		if err == nil && is {
			return
		}
		if time.Now().After(end) {
			l, _ := cdp.Run(v.ctx, cdp.Location())
			say, _ := cdp.Run(v.ctx, cdp.Text(cdp.CSS("#say")))
			v.Fatalf("%s never came true: %v; at %s it says %q", expr, err, l, say)
		}
		time.Sleep(20 * time.Millisecond)
	}
}

func (v *visitor) text(sel string) string { v.Helper(); return run(v, cdp.Text(cdp.CSS(sel))) }

func (v *visitor) set(id, value string) {
	v.Helper()
	v.do(cdp.Evaluate[cdp.Void](`(() => { const e = document.getElementById("` + id + `"); e.value = ` + quote(value) + `; for (const n of ["input", "change"]) e.dispatchEvent(new Event(n, {bubbles: true})); })()`))
}

func quote(s string) string { b, _ := json.Marshal(s); return string(b) }

// A lamp is opened, changed, undone, saved and opened again; nothing is asked
// of anyone but the server, and the page runs nothing of its own in its text.
func TestBrowserLamp(t *testing.T) {
	v := visit(t)
	v.do(cdp.Navigate(v.url + "/lamp/oulu-first"))
	v.wait(`document.querySelector("#n-counts .u").textContent.includes("±")`) // the uncertainty came by itself
	before := v.text("#say")
	if !strings.Contains(before, "7500 lx") && !strings.Contains(before, "lx at 0.40 m") {
		t.Errorf("the page says %q", before)
	}

	v.set("i-rows", "6")
	v.wait(`document.getElementById("say").textContent !== ` + quote(before))
	six := v.text("#say")
	if loc := run(v, cdp.Location()); !strings.Contains(loc, "rows=6") {
		t.Errorf("the address is %s", loc)
	}
	// The plan follows.
	v.wait(`[...document.querySelectorAll("#p-plan svg title")].filter(t => /^row \d/.test(t.textContent)).length === 6`)
	// Something that makes no sense: said beside the field, the rest stands.
	v.set("i-place-eye-distance", "ninety")
	v.wait(`document.getElementById("e-place-eye-distance").textContent.length > 10`)
	if got := v.text("#say"); got != six {
		t.Errorf("the rest changed to %q", got)
	}
	v.set("i-place-eye-distance", "35 in")
	v.wait(`document.getElementById("say").textContent !== ` + quote(six))
	if got := run(v, cdp.Value(cdp.CSS("#i-place-eye-distance"))); got != "35 in" {
		t.Errorf("the field shows %q in place of what was typed", got)
	}
	// Undone step by step.
	v.do(cdp.Evaluate[cdp.Void](`document.querySelector("[data-undo]").click()`))
	v.wait(`!location.search.includes("35")`)
	v.do(cdp.NavigateBack())
	v.do(cdp.NavigateBack())
	v.wait(`document.getElementById("say").textContent === ` + quote(before))
	if got := run(v, cdp.Value(cdp.CSS("#i-rows"))); got != "9" {
		t.Errorf("undone, rows is %s", got)
	}

	v.set("i-rows", "8")
	// What is on its way is saved with the rest.
	v.do(cdp.SetValue(cdp.CSS("#as"), "mine"), cdp.Evaluate[cdp.Void](`document.querySelector("#keep button").click()`))
	v.wait(`location.pathname === "/lamp/mine"`)
	v.do(cdp.Reload())
	if got := run(v, cdp.Value(cdp.CSS("#i-rows"))); got != "8" {
		t.Errorf("saved and opened, rows is %s", got)
	}
	if _, err := os.Stat(filepath.Join(v.dir, "mine.lamp.toml")); err != nil {
		t.Error(err)
	}
	for _, u := range v.seen() {
		if !strings.HasPrefix(u, v.url) && !strings.HasPrefix(u, "data:") {
			t.Errorf("something was asked of %s", u)
		}
	}
}

// Rows are moved on the plan, with the pointer and with the keys, as far as
// their neighbours let them; the places stand in the field.
func TestBrowserLayout(t *testing.T) {
	v := visit(t)
	v.do(cdp.Navigate(v.url + "/lamp/oulu-first?rows=3"))
	v.wait(`document.querySelectorAll("#p-plan g.grip").length === 3`)
	v.do(cdp.Evaluate[cdp.Void](`document.documentElement.style.scrollBehavior = "auto"; document.getElementById("q-make").scrollIntoView()`))
	v.wait(`(() => { document.querySelector("#p-plan").scrollIntoView({block: "center", behavior: "instant"}); const r = document.querySelectorAll("#p-plan g.grip")[1].querySelector("rect").getBoundingClientRect(); const e = document.elementFromPoint(r.x + r.width / 2, r.y + r.height / 2); return e && e.closest("g.grip"); })()`)
	at := run(v, cdp.Evaluate[[]float64](`(() => { const r = document.querySelectorAll("#p-plan g.grip")[1].querySelector("rect").getBoundingClientRect(); const k = document.querySelector("#p-plan svg").getScreenCTM().a; return [r.x + r.width / 2, r.y + r.height / 2, k]; })()`))
	say := v.text("#say")
	mouse := func(typ input.DispatchMouseEventType, y float64, buttons int64) {
		if _, err := cdp.Call(v.ctx, input.DispatchMouseEvent, input.DispatchMouseEventParams{Type: typ, X: at[0], Y: y, Button: input.MouseButtonLeft, Buttons: buttons, ClickCount: 1}); err != nil {
			t.Fatal(err)
		}
	}
	mouse(input.DispatchMouseEventTypeMousePressed, at[1], 1)
	for i := 1; i <= 10; i++ {
		mouse(input.DispatchMouseEventTypeMouseMoved, at[1]+float64(i)*at[2], 1)
	}
	// While the row is held its numbers follow and the picture stays.
	v.wait(`new URLSearchParams(location.search).get("row_lines")?.endsWith("mm")`)
	mouse(input.DispatchMouseEventTypeMouseReleased, at[1]+10*at[2], 0)
	v.wait(`!document.querySelector("[data-held]") && document.getElementById("say").textContent !== ` + quote(say) + ` || document.getElementById("i-row-lines").value.length > 5`)
	lines := run(v, cdp.Value(cdp.CSS("#i-row-lines")))
	var a, b, c float64
	if _, err := fmt.Sscanf(lines, "%g, %g, %g mm", &a, &b, &c); err != nil {
		t.Fatalf("the field says %q: %v", lines, err)
	}
	// 10 mm on the paper at the scale 1 : 4 are 40 mm of the tray.
	if math.Abs(b-(140+40)) > 1 || a != 46.667 {
		t.Errorf("the rows lie at %q", lines)
	}
	// Far beyond the next row it stays 11 mm before it.
	v.wait(`document.querySelectorAll("#p-plan g.grip").length === 3 && document.querySelectorAll("#p-plan g.grip")[1].getAttribute("aria-valuenow") !== "140"`)
	v.do(cdp.Focus(cdp.CSS(`#p-plan g.grip[aria-label^="row 2"]`)))
	for range 15 {
		v.do(cdp.KeyEvent(kb.ArrowDown, cdp.KeyModifiers(cdp.ModifierShift)))
	}
	v.wait(`document.querySelector("[data-place]").textContent.includes("as far as it can lie")`)
	v.wait(`!document.querySelector("[data-held]")`)
	if got := run(v, cdp.Value(cdp.CSS("#i-row-lines"))); got != "46.667, 222, 233.333 mm" {
		t.Errorf("the rows lie at %q", got)
	}
	v.wait(`document.getElementById("made").textContent.includes("11.3 to 175 mm")`)
	// Undone, they lie evenly.
	v.do(cdp.Evaluate[cdp.Void](`[...document.querySelectorAll("#layout a")].find(a => a.textContent.includes("evenly")).click()`))
	v.wait(`!location.search.includes("row_lines")`)
}

// Without script: the form works things out, the pictures that script fetches
// come as images, and the uncertainty is a link away.
func TestBrowserNoScript(t *testing.T) {
	v := visit(t)
	if _, err := cdp.Call(v.ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true}); err != nil {
		t.Fatal(err)
	}
	v.do(cdp.Navigate(v.url + "/lamp/oulu-first"))
	v.do(cdp.SetAttributeValue(cdp.CSS("#i-rows"), "value", "7"), cdp.Focus(cdp.CSS("#q-make .nojs")), cdp.KeyEvent(kb.Enter))
	loc := ""
	for range 200 {
		// An error: one page is giving way to another.
		if l, err := cdp.Run(v.ctx, cdp.Location()); err == nil && strings.Contains(l, "rows=7") && !strings.Contains(l, "from=") {
			loc = l
			break
		}
		time.Sleep(100 * time.Millisecond)
	}
	if u, _ := url.Parse(loc); u == nil || u.Query().Encode() != "rows=7" {
		t.Fatalf("the form led to %s", loc)
	}
	if got := v.text("#changes"); !strings.Contains(got, "rows of strip: 9 → 7") {
		t.Errorf("the page says %q", got)
	}
	if got := run(v, cdp.AttributeValue(cdp.CSS("#p-face img"), "src")); !strings.Contains(got.Value, "face.svg?rows=7") {
		t.Errorf("the face is %q", got.Value)
	}
	v.do(cdp.Navigate(loc + "&sure=yes"))
	if got := v.text("#n-counts"); !strings.Contains(got, "±") {
		t.Error("no uncertainty on request")
	}
}

// With the keyboard alone: to a field, change it, along a curve.
func TestBrowserKeyboard(t *testing.T) {
	v := visit(t)
	v.do(cdp.Navigate(v.url + "/lamp/oulu-first"))
	v.wait(`document.querySelector("#n-counts .u").textContent.includes("±")`)
	v.do(cdp.KeyEvent(kb.Tab))
	if got := run(v, cdp.Evaluate[string](`document.activeElement.textContent`)); got != "To the page" {
		t.Errorf("the first stop is %q", got)
	}
	v.do(cdp.Focus(cdp.CSS(`[data-for="i-rows"]`)))
	for range 3 {
		v.do(cdp.KeyEvent(kb.ArrowLeft))
	}
	v.wait(`new URLSearchParams(location.search).get("rows") === "6"`)
	if got := run(v, cdp.Evaluate[string](`document.activeElement.dataset.for`)); got != "i-rows" {
		t.Errorf("the focus went to %q", got)
	}
	v.wait(`document.getElementById("i-rows").value === "6"`)
	v.do(cdp.Focus(cdp.CSS("#p-spectrum svg")), cdp.KeyEvent(kb.ArrowRight))
	v.wait(`document.querySelector(".tip") && document.querySelector(".tip").textContent.includes("nm")`)
	// Everything that can be set has a name.
	bare := run(v, cdp.Evaluate[[]string](`[...document.querySelectorAll("input:not([type=hidden]), select, button, a, summary")].filter(e => !(e.labels?.length || e.getAttribute("aria-label") || e.textContent.trim())).map(e => e.outerHTML)`))
	if len(bare) > 0 {
		t.Errorf("without a name: %q", bare)
	}
}

// On a phone, at twice the size and in the dark nothing is cut off at the side.
func TestBrowserShapes(t *testing.T) {
	v := visit(t)
	for _, c := range []struct {
		w, h  int64
		scale float64
	}{{360, 740, 3}, {640, 450, 2}, {1280, 900, 1}} {
		v.do(cdp.EmulateViewport(c.w, c.h, cdp.EmulateScale(c.scale)))
		for _, page := range []string{"/", "/lamp/oulu-first?brief=oulu-bench", "/brief/oulu-bench", "/lamp/oulu-first/try/sheet", "/lamp/oulu-first/feeds", "/lamp/oulu-first/wrong", "/bench", "/read", "/gauge/strip", "/parts", "/cautions"} {
			v.do(cdp.Navigate(v.url + page))
			over := run(v, cdp.Evaluate[int](`document.documentElement.scrollWidth - document.documentElement.clientWidth`))
			if over > 0 {
				t.Errorf("%s at %d px: %d px stand out at the side", page, c.w, over)
			}
		}
	}
	features := []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: "dark"}}
	if _, err := cdp.Call(v.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: features}); err != nil {
		t.Fatal(err)
	}
	v.do(cdp.Navigate(v.url + "/"))
	if got := run(v, cdp.Evaluate[string](`getComputedStyle(document.body).backgroundColor`)); got != "rgb(28, 24, 20)" {
		t.Errorf("in the dark the paper is %s", got)
	}
}

// Another site cannot write, nor read.
func TestBrowserCrossSite(t *testing.T) {
	v := visit(t)
	other := strings.Replace(v.url, "127.0.0.1", "localhost", 1) // another origin to the browser
	v.do(cdp.Navigate(other + "/cautions"))
	got := run(v, cdp.Evaluate[string](`fetch(`+quote(v.url+"/lamp/oulu-first")+`, {method: "POST", mode: "no-cors", body: new URLSearchParams({state: "rows=5", as: "stolen"})}).then(() => "sent", e => "refused")`, cdp.EvalAwaitPromise))
	if _, err := os.Stat(filepath.Join(v.dir, "stolen.lamp.toml")); err == nil {
		t.Errorf("another origin wrote a file (%s)", got)
	}
}

// How long a change takes at the browser, from the input event to the painted
// page, over a hundred changes of each kind: figures to look at, since the
// machine decides; the size of the page is held.
func TestBrowserSpeed(t *testing.T) {
	if testing.Short() {
		t.Skip("a measurement")
	}
	v := visit(t)
	v.do(cdp.Navigate(v.url + "/lamp/oulu-first?brief=oulu-bench"))
	v.wait(`document.querySelector("#n-counts .u").textContent.includes("±")`)
	for _, c := range []struct{ what, id, make string }{
		{"drive", "i-drive-white", `(30 + i * 0.6).toFixed(1) + " %"`},
		{"distance of the eye", "i-place-eye-distance", `(600 + 7 * i) + " mm"`},
		{"sheet (two, worked out before)", "i-sheet", `["opal-acrylic", "diffuser-plate"][i % 2]`},
		{"lead", "i-lead-length", `(1000 + 11 * i) + " mm"`},
	} {
		times := run(v, cdp.Evaluate[[][]float64](`(async () => {
			const changed = [], painted = [], main = document.querySelector("main");
			for (let i = 0; i < 100; i++) {
				const field = document.getElementById("`+c.id+`");
				const t0 = performance.now();
				field.value = `+c.make+`;
				const came = new Promise(r => main.addEventListener("blocks", r, {once: true}));
				field.dispatchEvent(new Event("input", {bubbles: true}));
				await came;
				changed.push(performance.now() - t0);
				await new Promise(r => requestAnimationFrame(() => setTimeout(r, 0)));
				painted.push(performance.now() - t0);
				await new Promise(r => setTimeout(r, 30));
			}
			return [changed, painted];
		})()`, cdp.EvalAwaitPromise))
		for i, to := range []string{"page changed", "next frame painted"} {
			ms := times[i]
			slices.Sort(ms)
			t.Logf("%s, %s: 100 changes, median %.0f ms, p95 %.0f ms, worst %.0f ms", c.what, to, ms[50], ms[94], ms[99])
		}
	}
	size := run(v, cdp.Evaluate[[]float64](`(async () => {
		const t0 = performance.now(), r = await fetch(location.pathname), html = await r.text(), ms = performance.now() - t0;
		return [ms, html.length, html.replace(/<svg[^]*?<\/svg>/g, "").length];
	})()`, cdp.EvalAwaitPromise))
	t.Logf("first page: %.0f ms, %.0f kB, without pictures %.0f kB", size[0], size[1]/1000, size[2]/1000)
	if size[2] > 150000 {
		t.Errorf("the page has %.0f kB without its pictures", size[2]/1000)
	}
}
