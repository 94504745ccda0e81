package browser

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"ringtrue/internal/bench"
	"ringtrue/internal/bench/draft"
	"ringtrue/internal/bench/serialgauge"
	"ringtrue/internal/casetest"
)

// plugged is a port whose gauge can be unplugged and plugged in again.
type plugged struct {
	t    testing.TB
	port string
	line *casetest.SerialLine
}

func (p *plugged) in() {
	p.t.Helper()
	p.line = casetest.NewSerialLine(p.t)
	if err := os.Symlink(p.line.Port, p.port); err != nil {
		p.t.Fatal(err)
	}
}

func (p *plugged) out() {
	p.t.Helper()
	if err := os.Remove(p.port); err != nil {
		p.t.Fatal(err)
	}
	p.line.Unplug(p.t)
}

// onALine is a bench with a gauge on a serial line.
func onALine(t testing.TB) (*served, *plugged) {
	t.Helper()
	p := &plugged{t: t, port: filepath.Join(t.TempDir(), "gauge")}
	p.in()
	speed, err := serialgauge.NewSpeed("9600")
	if err != nil {
		t.Fatal(err)
	}
	pattern, err := serialgauge.NewPattern("")
	if err != nil {
		t.Fatal(err)
	}
	b := serveAs(t, func(c *bench.Config) { c.Gauge = serialgauge.New(p.port, speed, pattern) })
	b.mayLog = regexp.MustCompile(`The gauge is disconnected|Not saved`)
	return b, p
}

func (w *window) says(pattern string) {
	w.t.Helper()
	w.until(`/` + pattern + `/.test(document.querySelector("#said").innerText)`)
}

func (w *window) lineSays(pattern string) {
	w.t.Helper()
	w.until(`/` + pattern + `/.test(document.querySelector(".gaugeline").innerText)`)
}

// A reading of a gauge on a serial line appears wherever the focus is, on a second
// screen too; the port unplugged and back is told, and it is read again.
func TestLine_WhereverTheFocusIs(t *testing.T) {
	b, gauge := onALine(t)
	c := newClient(t, b.base)
	neck := c.begin("0412")
	browser := startChromium(t)
	one, two := open(t, browser, b.base, desktop()), open(t, browser, b.base, phone())
	one.visit(neck)
	one.lineSays("ready")
	one.press(`.neck a[data-site="1@1"]`) // it reads
	two.visit(neck)
	get[bool](one, `(document.querySelector(".goto select").focus(), true)`)
	n := 0
	for range 12 {
		gauge.line.Send(t, fmt.Sprintf("+0.4%02d\r\n", n))
		for _, w := range []*window{one, two} {
			w.says(fmt.Sprintf("Saved 0.4%02d mm at fret %d, lane 1", n, n+1))
		}
		n++
		one.at(draft.NewSite(1, n+1))
		two.at(draft.NewSite(1, n+1))
	}
	if focus := get[string](one, `document.activeElement.name`); focus != "fret" {
		t.Errorf("the focus went to %s", focus)
	}
	for range 8 { // without a pause
		gauge.line.Send(t, fmt.Sprintf("0,4%02d mm\r", n))
		n++
	}
	one.says(fmt.Sprintf("Saved 0.4%02d mm", n-1))
	one.at("21@1")

	gauge.out()
	for _, w := range []*window{one, two} {
		w.lineSays("The gauge is disconnected: .* is not connected")
	}
	gauge.in()
	for _, w := range []*window{one, two} {
		w.lineSays("ready")
	}
	gauge.line.Send(t, "01A+00000.420\r")
	one.says("Saved 0.420 mm at fret 21, lane 1")
	text, _ := c.get(neck + "/readings.csv")
	for k := range 21 {
		if !strings.Contains(text, fmt.Sprintf("beam,1,%d,0.4%02d,mm", k+1, k)) {
			t.Errorf("lost: 0.4%02d", k)
		}
	}
}

// What would replace another reading is asked on the page, as when it was typed; a
// number begun by hand is left alone.
func TestLine_Asks(t *testing.T) {
	b, gauge := onALine(t)
	c := newClient(t, b.base)
	neck := c.begin("0412")
	w := open(t, startChromium(t), b.base, desktop())
	w.visit(neck)
	w.lineSays("ready")
	gauge.line.Send(t, "0.371\r")
	w.at("2@1")
	w.press(`.neck a[data-site="1@1"]`)
	w.at("1@1")
	gauge.line.Send(t, "0.401\r")
	w.says("again to replace 0.371 mm")
	w.until(`document.querySelector("#reading").value === "0.401"`)
	gauge.line.Send(t, "0.402\r")
	w.says("again to replace 0.371 mm.*Not saved before it: 0.401")
	w.until(`document.querySelector("#reading").value === "0.402"`)
	if text, _ := c.get(neck + "/readings.csv"); !strings.Contains(text, "beam,1,1,0.371,") {
		t.Fatal(text)
	}
	w.keys("\r")
	w.at("2@1")
	w.until(`document.querySelector("#reading").value === ""`)
	w.keys("0.4") // by hand, and half of it
	gauge.line.Send(t, "0.412\r")
	w.says("Saved 0.412 mm at fret 2")
	w.keys("13\r")
	w.says("again to replace 0.412 mm")
	w.keys("\r")
	w.at("3@1")
	gauge.line.Send(t, "0.421\r")
	w.at("4@1")
	text, _ := c.get(neck + "/readings.csv")
	for _, row := range []string{"beam,1,1,0.402,", "beam,1,2,0.413,", "beam,1,3,0.421,"} {
		if !strings.Contains(text, row) || strings.Count(text, "\n") != 4 {
			t.Errorf("no %s in\n%s", row, text)
		}
	}
}

// presentable checks the page as it is now: it fits the smallest phone, targets are
// large, and the rules of axe-core hold.
func (w *window) presentable() {
	w.t.Helper()
	was := w.size
	for scheme, s := range map[string]size{"light": {"320", 320, 640, true}, "dark": desktop()} {
		w.resize(s)
		w.scheme(scheme)
		f := get[fit](w, fits)
		if f.Width > f.Window || len(f.Small) > 0 {
			w.t.Errorf("%s: %+v", s.name, f)
		}
		for _, v := range w.rules() {
			w.t.Errorf("%s: %s", s.name, v.words())
		}
	}
	w.resize(was)
}

// A line that is none, and a reading while no page was open, are listed until
// they were seen.
func TestLine_NotSaved(t *testing.T) {
	b, gauge := onALine(t)
	c := newClient(t, b.base)
	neck := c.begin("0412")
	w := open(t, startChromium(t), b.base, desktop())
	w.visit(neck)
	w.lineSays("ready")
	gauge.line.Send(t, "911\r")
	w.says("Not saved: .911. does not match")
	w.lineSays("Not saved: .911. does not match")
	w.visit(neck + "/files")
	gauge.line.Send(t, "0.371\r")
	w.until(`fetch("` + neck + `").then((r) => r.text()).then((t) => /0.371.*No reading page was open/.test(t))`)
	w.visit(neck)
	w.lineSays("0.371.*No reading page was open[^]*911")
	gauge.line.Send(t, strings.Repeat("8", 99)+"\r")
	w.lineSays("888")
	w.presentable()
	w.press("[data-unsaved] button")
	w.until(`!/0.371/.test(document.querySelector(".gaugeline").innerText)`)
	gauge.line.Send(t, "0.372\r")
	w.says("Saved 0.372 mm at fret 1")
	w.visit(neck)
	w.at("2@1")
	if text := get[string](w, `document.querySelector(".gaugeline").innerText`); strings.Contains(text, "Not saved") {
		t.Errorf("seen, and listed again: %s", text)
	}
}
