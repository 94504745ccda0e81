package browser

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp/kb"
)

// onScreen is how the page for reading stands on a screen.
type onScreen struct {
	Scrolls        bool
	Hidden         []string // what is out of sight or covered
	Small          []string // targets under 44 px
	Figures        float64  // px, of the crown to read
	Plates         float64  // px, of the picture's figures
	Tops           string   // where verdict, figures and field begin
	Here           bool     // the crown to read is in the picture's window
	Bass, Treble   float64  // where the outer lanes stand
	NeckEnds, Form float64
}

// standsNow measures the page: each thing that a maker looks at has its middle in
// the window, with nothing over it.
const standsNow = `((names) => {
	const inWindow = (b) => b.top >= -1 && b.left >= -1 && b.bottom <= innerHeight + 1 && b.right <= innerWidth + 1;
	const seen = (el) => {
		if (!el || !el.checkVisibility()) return false;
		const b = el.getBoundingClientRect(), top = document.elementFromPoint(b.x + b.width / 2, b.y + b.height / 2);
		return b.width > 0 && inWindow(b) && !!top && (el.contains(top) || top.contains(el));
	};
	const Hidden = names.flatMap((n) => { const all = [...document.querySelectorAll(n)]; return all.length && all.every(seen) ? [] : [n]; });
	const Small = [...document.querySelectorAll("#read button, #read .button, #read summary, #read input:not([type=hidden])")].filter((el) => {
		const target = /checkbox|radio/.test(el.type) ? el.closest("label") : el, b = target.getBoundingClientRect();
		return el.checkVisibility() && b.width > 0 && !target.closest(".drawer:not([open]) .inner") && (b.width < 43.5 || b.height < 43.5);
	}).map((el) => el.outerHTML.slice(0, 80));
	const svg = document.querySelector(".neck svg[data-side]"), place = svg.getBoundingClientRect();
	const here = document.querySelector(".neck .here")?.getBoundingClientRect();
	const lanes = [...document.querySelectorAll(".neck .lane")].map((el) => el.getBoundingClientRect().x);
	const root = document.scrollingElement;
	return {
		Scrolls: root.scrollHeight > innerHeight + 1 || root.scrollWidth > innerWidth + 1 || scrollX !== 0 || scrollY !== 0,
		Hidden, Small,
		Figures: parseFloat(getComputedStyle(document.querySelector(".where .big b")).fontSize),
		Plates: svg.getScreenCTM().a * 19,
		Tops: [".verdict", ".where .big", "#reading", ".keep"].map((n) => Math.round(document.querySelector(n).getBoundingClientRect().top)).join(" "),
		Here: !!here && here.top >= place.top - 1 && here.bottom <= place.bottom + 1 && here.left >= place.left - 1 && here.right <= place.right + 1,
		Bass: lanes[0], Treble: lanes[lanes.length - 1],
		NeckEnds: place.right, Form: document.querySelector(".panel").getBoundingClientRect().left,
	};
})(%s)`

const inSight = `[".where .big b", "#reading", ".latest", "progress", ".verdict", ".deed, .alarm", ".keep", "[data-huge]", "[data-aloud=tone]"]`

func (w *window) measured(names string) onScreen {
	w.t.Helper()
	get[bool](w, `new Promise((ok) => requestAnimationFrame(() => requestAnimationFrame(() => ok(true))))`)
	return get[onScreen](w, fmt.Sprintf(standsNow, names))
}

// manyFrets is the Heron with 36 frets, which fills a screen in a way of its own.
func manyFrets(t *testing.T) []byte {
	t.Helper()
	data, err := os.ReadFile(example(t, "heron.toml"))
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Replace(string(data), "frets = 22", "frets = 36", 1)
	if text == string(data) {
		t.Fatal("the example's frets are written otherwise")
	}
	return []byte(text)
}

// At six sizes the page for reading is one screen: it never scrolls, what a maker
// looks at is in sight and uncovered, nothing jumps while readings come in, and
// the figures can be read: of the crown from a metre, of the picture at hand.
func TestOneScreen_SixSizes(t *testing.T) {
	t.Parallel()
	b := serve(t)
	browser := startChromium(t)
	twelve, err := os.ReadFile(example(t, "heron-twelve.toml"))
	if err != nil {
		t.Fatal(err)
	}
	c := newClient(t, b.base)
	for name, neck := range map[string]string{"heron": c.begin("0412"), "twelve": c.beginFile("twelve.toml", twelve, 12, 20), "36 frets": c.beginFile("many.toml", manyFrets(t), 6, 36)} {
		w := open(t, browser, b.base, desktop())
		w.visit(neck)
		kept := 0
		for _, s := range sizes() {
			w.resize(s)
			tops := ""
			for k := range 4 {
				m := w.measured(inSight)
				at := fmt.Sprintf("%s, %s, reading %d", name, s.name, k)
				if m.Scrolls || len(m.Hidden) > 0 || len(m.Small) > 0 || !m.Here {
					t.Errorf("%s: scrolls %v, out of sight %v, small %v, the crown in sight %v", at, m.Scrolls, m.Hidden, m.Small, m.Here)
				}
				if s.width >= 768 && s.height >= 768 && m.Figures < 72 || m.Figures < 44 || m.Plates < 11.9 {
					t.Errorf("%s: figures of %.0f px, the picture's of %.1f", at, m.Figures, m.Plates)
				}
				if m.Bass >= m.Treble || s.width > s.height && m.NeckEnds > m.Form+1 {
					t.Errorf("%s: bass at %.0f, treble at %.0f; neck to %.0f, field from %.0f", at, m.Bass, m.Treble, m.NeckEnds, m.Form)
				}
				if kept > 1 && k > 0 && m.Tops != tops { // the very first reading may bring words that were not there
					t.Errorf("%s: what stood at %s jumped to %s", at, tops, m.Tops)
				}
				tops = m.Tops
				w.keys(fmt.Sprintf("0.4%02d\r", kept))
				w.until(fmt.Sprintf(`/0.4%02d mm/.test(document.querySelector(".latest").innerText)`, kept))
				kept++
			}
			w.keys(kb.F2)
			if m := w.measured(`[".where .big b", "#reading", "progress", ".verdict", ".keep"]`); m.Scrolls || len(m.Hidden) > 0 || m.Figures < 139.9 || len(m.Small) > 0 {
				t.Errorf("%s, %s, large: %+v", name, s.name, m)
			}
			w.keys(kb.F2)
		}
	}
}

// The processor slowed four times, nothing jumps either, and an alarm and the
// pass's end are one screen too.
func TestOneScreen_AlarmAndEnd(t *testing.T) {
	t.Parallel()
	b := serve(t)
	c := newClient(t, b.base)
	heron, err := os.ReadFile(example(t, "heron.toml"))
	if err != nil {
		t.Fatal(err)
	}
	neck := c.beginFile("heron.toml", heron, 2, 22)
	w := open(t, startChromium(t), b.base, desktop())
	send(w, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: 4})
	w.visit(neck)
	all := readings(t, "heron-seated.csv")[:44] // two lanes
	tops := ""
	for i, r := range all {
		v := r.Value
		if i == 5 {
			v = 3.72
		}
		w.keys(fmt.Sprintf("%.3f\r", v))
		if i < 27 && i != 5 { // later, lane 2 goes against what was called right in lane 1
			w.until(fmt.Sprintf(`document.querySelector(".latest").innerText.includes("%.3f mm")`, v))
			if now := w.measured("[]").Tops; tops != "" && now != tops {
				t.Errorf("reading %d: what stood at %s jumped to %s: %s", i, tops, now, get[string](w, `[...document.querySelectorAll(".verdict, .alarm, .deed, .ask")].map((el) => el.className + ": " + el.innerText).join(" / ")`))
			} else {
				tops = now
			}
		}
		if i == 5 {
			w.until(`document.querySelector(".alarm")`)
			for _, s := range sizes() {
				w.resize(s)
				if m := w.measured(`[".where .big b", "#reading", ".verdict", ".alarm", ".alarm a", ".alarm button", ".keep"]`); m.Scrolls || len(m.Hidden) > 0 || !m.Here {
					t.Errorf("alarm, %s: %+v", s.name, m)
				}
			}
			w.resize(desktop())
			w.press(".alarm button")
			w.until(`!document.querySelector(".alarm")`)
		}
	}
	w.until(`document.querySelector("#read").classList.contains("ended")`)
	w.settled()
	for _, s := range sizes() {
		w.resize(s)
		if m := w.measured(`[".verdict", ".deed, .alarm", ".ending .main"]`); m.Scrolls || len(m.Hidden) > 0 {
			t.Errorf("the end, %s: %+v", s.name, m)
		}
		if n := get[int](w, `[...document.querySelectorAll("main .main")].filter((el) => el.checkVisibility()).length`); n != 1 {
			t.Errorf("the end, %s: %d primary keys", s.name, n)
		}
	}
	// A number typed at the end is asked of, in a field that is there again.
	w.keys("0.777\r")
	w.until(`/again to replace/.test(document.querySelector("#said").innerText) && document.querySelector("#reading").value === "0.777" && document.querySelector("#reading").checkVisibility()`)
}
