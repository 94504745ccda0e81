package browser

import (
	"bytes"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
)

// primaries tells how many primary actions are to be seen, and whether the first is
// whole in the window and nothing lies over it.
const primaries = `(() => {
	const seen = [...document.querySelectorAll("button.main, .button.main, input.main")].filter((b) => b.checkVisibility() && b.getBoundingClientRect().width > 0);
	if (!seen.length) return { N: 0, Where: "none" };
	const b = seen[0].getBoundingClientRect(), W = document.documentElement.clientWidth, H = innerHeight;
	const at = [[.5, .5], [.1, .2], [.9, .8]].map(([x, y]) => document.elementFromPoint(b.x + x * b.width, b.y + y * b.height));
	return { N: seen.length, In: b.left >= 0 && b.top >= 0 && b.right <= W + .5 && b.bottom <= H + .5, Free: at.every((el) => el && (el === seen[0] || seen[0].contains(el))),
		Where: [b.left, b.top, b.right, b.bottom].map(Math.round).join(" ") + ": " + seen.map((m) => m.innerText).join(" | ") };
})()`

type primary struct {
	N        int
	In, Free bool
	Where    string
}

// Every page of an empty bench has one primary action, no more; TestPages looks at
// those of a bench with necks.
func TestHome_OnePrimaryEverywhere(t *testing.T) {
	w := open(t, startChromium(t), serve(t).base, desktop())
	for _, path := range []string{"/", "/book", "/book/drift", "/neckfile"} {
		w.visit(path)
		w.onePrimary("an empty bench's " + path)
	}
}

func (w *window) onePrimary(name string) {
	w.t.Helper()
	if p := get[primary](w, primaries); p.N != 1 {
		w.t.Errorf("%s: %d primary actions: %s", name, p.N, p.Where)
	}
}

// Lists, a new pass and the neck's pages show their primary action at once on every
// screen, whole, with nothing over it.
func TestHome_PrimaryInSight(t *testing.T) {
	b, empty := serve(t), serve(t)
	neck := newClient(t, b.base).shop()
	browser := startChromium(t)
	on, none := open(t, browser, b.base, desktop()), open(t, browser, empty.base, desktop())
	for _, s := range sizes() {
		on.resize(s)
		none.resize(s)
		for _, path := range []string{"/", "/book", "/neckfile?like=electric", "/neckfile?from=" + strings.TrimPrefix(neck, "/necks/"), neck + "/pass", neck + "/neck"} {
			on.visit(path)
			if p := get[primary](on, primaries); p.N != 1 || !p.In || !p.Free {
				t.Errorf("%s, %s: %+v", s.name, plain(path, neck), p)
			}
		}
		none.visit("/")
		if p := get[primary](none, primaries); p.N != 1 || !p.In || !p.Free || !strings.Contains(p.Where, "example") {
			t.Errorf("%s, an empty bench: %+v", s.name, p)
		}
	}
}

// A new pass begins in one way at a time: by one tap, or, once its fold is open, by
// the form there.
func TestHome_OneWayToBegin(t *testing.T) {
	b := serve(t)
	neck := newClient(t, b.base).shop()
	w := open(t, startChromium(t), b.base, phone())
	w.visit(neck + "/pass")
	for _, want := range []string{"Begin: beam, all lanes, mm", "Begin reading", "Begin: beam, all lanes, mm"} {
		if p := get[primary](w, primaries); p.N != 1 || !strings.HasSuffix(p.Where, want) {
			t.Errorf("wanted %q: %+v", want, p)
		}
		w.press(".change > summary")
	}
}

// Where a header is narrow, the name makes way for the serial, whole on every page:
// two necks of one model differ by nothing else.
func TestHome_SerialInHeader(t *testing.T) {
	b := serve(t)
	c := newClient(t, b.base)
	neck := c.shop()
	data, err := os.ReadFile(example(t, "heron.toml"))
	if err != nil {
		t.Fatal(err)
	}
	named := bytes.Replace(data, []byte(`name = "`), []byte(`name = "The neck for somebody in the next town, `), 1)
	to, err := c.file("/necks", "long.toml", named, "from", "file", "serial", "2026-0421-B")
	if err != nil || bytes.Equal(named, data) {
		t.Fatal(err)
	}
	long := strings.TrimSuffix(to, "/pass")
	c.pass(long)
	w := open(t, startChromium(t), b.base, phone())
	paths := c.pages(neck)
	for _, path := range paths {
		if path == neck || strings.HasPrefix(path, neck+"/") || strings.HasPrefix(path, neck+"?") {
			paths = append(paths, strings.Replace(path, neck, long, 1))
		}
	}
	for _, s := range []size{{"360 x 740", 360, 740, true}, {"740 x 360", 740, 360, true}} {
		w.resize(s)
		seen := 0
		for _, path := range paths {
			w.visit(path)
			h := get[serialBox](w, serialInHeader)
			if h.Named && !h.Whole || h.High > 56 {
				t.Errorf("%s, %s: %+v", s.name, path, h)
			}
			if h.Named {
				seen++
			}
		}
		if seen < 16 {
			t.Errorf("%s: only %d pages of a neck", s.name, seen)
		}
	}
}

// serialBox is how a neck's serial lies in the header of its page.
type serialBox struct {
	Named, Whole bool
	High         float64
	Where        string
}

const serialInHeader = `(() => {
	const top = document.querySelector(".top"), el = top.querySelector(".ident"), h = top.getBoundingClientRect();
	if (!el) return { Named: !!top.querySelector(".stage"), Whole: false, High: h.height, Where: "none" };
	const b = el.getBoundingClientRect(), which = el.parentElement.getBoundingClientRect(), menu = top.querySelector("nav").getBoundingClientRect();
	const whole = b.width > 20 && el.scrollWidth <= el.clientWidth && b.left >= which.left - .5 && b.right <= Math.min(which.right, menu.left) + .5 && b.top >= h.top && b.bottom <= h.bottom;
	return { Named: true, Whole: whole, High: h.height, Where: [b, which, menu].map((r) => [r.left, r.top, r.right, r.bottom].map(Math.round).join(" ")).join(" | ") };
})()`

// A new neck is read by two taps: start, begin. The next one needs no other choice.
func TestHome_BeginsWithOneTap(t *testing.T) {
	b := serve(t)
	w := open(t, startChromium(t), b.base, phone())
	w.takeIn("0421")
	w.leave(".onetap .main", "^/necks/[^/]+$")
	w.until(`document.activeElement?.id === "reading" && document.querySelector("#readform").elements.at.value === "1@1"`)
}

// The example is one tap away on an empty bench, marked in the list, and gone by another.
func TestHome_ExampleComesAndGoes(t *testing.T) {
	b := serve(t)
	w := open(t, startChromium(t), b.base, phone())
	w.visit("/")
	w.leave(".tryit .main", "^/necks/[^/]+$")
	w.settled()
	w.visit("/")
	w.until(`document.querySelector("#list .stage").innerText === "example" && document.querySelector("#list .says.not-level")`)
	w.press(`#list form button`)
	w.until(`document.querySelector(".tryit .main") && !document.querySelector("#list")`)
}

// A neck is found as one types, without leaving the page; emptied, the field shows
// all again. Where nothing fits, that is said.
func TestHome_FindsAsOneTypes(t *testing.T) {
	b := serve(t)
	c := newClient(t, b.base)
	c.shop()
	w := open(t, startChromium(t), b.base, phone())
	for path, all := range map[string]int{"/": 7, "/book": 5} {
		w.visit(path)
		rows := func(n int, words string) {
			w.until(fmt.Sprintf(`document.querySelectorAll("#list .neckrow").length === %d && document.querySelector("#list").innerText.includes(%q)`, n, words))
		}
		rows(all, "0412")
		get[bool](w, `window.stayed = true`)
		w.write("#find", "0412")
		rows(1, "0412")
		w.keys("x")
		w.until(`document.querySelectorAll("#list .neckrow").length === 0 && document.querySelector("#list").innerText.length > 5`)
		w.keys("\b\b\b\b\b")
		rows(all, "0412")
		w.keys("levelled\r")
		rows(1, "0412")
		if !get[bool](w, `window.stayed === true`) {
			t.Errorf("%s was left", path)
		}
	}
}

// What is not worked out when the page comes, comes in by itself, and with it what to
// go on with.
func TestHome_VerdictsComeIn(t *testing.T) {
	b := serve(t)
	c := newClient(t, b.base)
	for n := range 3 {
		c.take(c.begin(fmt.Sprintf("043%d", n)), "heron-seated.csv")
	}
	w := open(t, startChromium(t), b.base, phone())
	w.visit("/")
	w.until(`document.querySelectorAll("#list .says.not-level").length === 3 && document.querySelector("#goon").innerText.includes("Read again: fret 9, lane 4")`)
	if said := get[string](w, `[...document.querySelectorAll("#list .step")].map((s) => s.textContent).join()`); said != strings.Repeat("Read again: fret 9, lane 4,", 2)+"Read again: fret 9, lane 4" {
		t.Error(said)
	}
	w.leave("#goon a", "^/necks/[^/]+$")
	w.until(`document.querySelector("#readform").elements.at.value === "9@4"`)
}

// Without script: found by the form, started, begun and read by its buttons.
func TestHome_WithoutScript(t *testing.T) {
	b := serve(t)
	c := newClient(t, b.base)
	c.shop()
	w := open(t, startChromium(t), b.base, phone())
	send(w, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
	for _, path := range []string{"/", "/book"} {
		w.visit(path)
		w.write("#find", "0412")
		w.press(".find button")
		w.until(`/[?&]find=0412/.test(location.search) && document.querySelectorAll("#list .neckrow").length === 1`)
	}
	w.visit("/")
	w.press("#list .neckrow")
	w.until(`/^\/necks\//.test(location.pathname)`)
	w.visit(w.path() + "/pass")
	w.press(".onetap .main")
	w.until(`/^\/necks\/[^/]+$/.test(location.pathname) && document.querySelector("#reading")`)
}

// BenchmarkFirstPageOfHundred is BenchmarkFirstPage with a hundred necks in work, all
// read through and worked out.
func BenchmarkFirstPageOfHundred(b *testing.B) {
	s := serve(b)
	c := newClient(b, s.base)
	for n := range 100 {
		c.take(c.begin(fmt.Sprintf("%04d", n)), "heron-seated.csv")
	}
	w := open(b, startChromium(b), s.base, desktop())
	w.visit("/?from=40")
	w.until(`document.querySelector("#list ul").dataset.wait === "false"`)
	w.visit("/?from=80")
	w.until(`document.querySelector("#list ul").dataset.wait === "false"`)
	w.visit("/")
	w.until(`document.querySelector("#list ul").dataset.wait === "false"`)
	w.visit("/healthz")
	floor, page := map[string][]float64{}, map[string][]float64{}
	for b.Loop() {
		w.timed("/healthz", floor)
		w.timed("/", page)
	}
	for _, part := range []string{"answered", "parsed", "loaded", "painted"} {
		report(b, part, page[part])
	}
	report(b, "floor-painted", floor["painted"])
	b.ReportMetric(0, "ns/op")
}
