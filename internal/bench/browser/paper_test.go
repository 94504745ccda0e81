package browser

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
)

// onPaper is what a page shows when it is printed, in a dark scheme.
type onPaper struct {
	Words string
	Wrong []string
}

// paper looks at what is left of a page on paper: nothing to press or type into, and
// dark letters on a white ground.
const paper = `(() => {
	const Wrong = [];
	const name = (el) => el.outerHTML.replace(/\s+/g, " ").slice(0, 110);
	const shown = (el) => { const b = el.getBoundingClientRect(); return b.width > 1 && b.height > 1 && getComputedStyle(el).visibility === "visible"; };
	for (const el of document.querySelectorAll("header a, nav, button, .button, input:not([type=checkbox]), select, textarea, summary, audio, .skip-link")) if (shown(el)) Wrong.push("not for paper: " + name(el));
	for (const el of document.querySelectorAll("input[type=checkbox]")) if (shown(el) && !el.closest("table")) Wrong.push("not for paper: " + name(el));
	for (const el of document.querySelectorAll("form")) if (shown(el) && !el.querySelector("table")) Wrong.push("a form: " + name(el));
	const lum = (c) => { const p = c.match(/[\d.]+/g).map(Number); if (p.length > 3 && p[3] === 0) return 1; const [r, g, b] = p.map((v) => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; }); return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
	for (const el of [document.documentElement, document.body, ...document.querySelectorAll("main, main *:not(.crownmap td)")]) {
		if (!shown(el) || el.closest("svg")) continue;
		const s = getComputedStyle(el);
		if (lum(s.backgroundColor) < 0.95) Wrong.push("a ground of ink: " + s.backgroundColor + " " + name(el));
		if (lum(s.color) > 0.19) Wrong.push("pale letters: " + s.color + " " + name(el));
	}
	for (const el of document.querySelectorAll(".plot text")) if (lum(getComputedStyle(el).fill) > 0.19) Wrong.push("pale letters: " + name(el));
	return { Words: document.body.innerText, Wrong };
})()`

// printed shows the page as paper has it, for a maker whose screen is dark.
func (w *window) printed() onPaper {
	w.t.Helper()
	send(w, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print", Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: "dark"}}})
	return get[onPaper](w, paper)
}

// A page that is printed is its answer only: verdict, advice, pictures and tables, dark
// on white also for a dark screen, without header, tabs, forms, buttons and fields.
func TestPaper_AnswerOnly(t *testing.T) {
	b, charts := charted(t, 70)
	c := newClient(t, b.base)
	neck := c.begin("0414")
	c.take(neck, "heron-refitted.csv")
	w := open(t, startChromium(t), b.base, size{"paper", 718, 1000, false})
	answers := map[string][]string{
		neck:                     {"Heron 22", "0414", "Not level", "Fret 19"},
		neck + "/plan":           {"Heron 22", "0414", "Not level", "Fret 19", "Press and glue it, let it set, read again"},
		neck + "/plan?seated=19": {"Not level", "File fret 19 alone", "0.60 mm"},
		neck + "/play":           {"fret"},
		charts["many"]:           {"70 necks", "Each value", "a signal: look at this point"},
		charts["pattern-many"]:   {"Pattern of 70 necks", "Each fret's mean", "Mean height of each crown"},
		charts["compare"]:        {"worn", "What changed at each crown", "moved", "Its records"},
		charts["study"]:          {"What the study says", "Range of the trials"},
		"/book":                  {"M0069"},
	}
	dir := os.Getenv("RINGTRUE_TEST_PICTURES")
	for path, want := range answers {
		w.visit(path)
		if path == neck {
			w.settled()
		}
		p := w.printed()
		for _, wrong := range p.Wrong {
			t.Errorf("%s: %s", plain(path, neck), wrong)
		}
		for _, words := range want {
			if !strings.Contains(p.Words, words) {
				t.Errorf("%s: no %q on paper:\n%s", plain(path, neck), words, p.Words)
			}
		}
		pdf := send(w, page.PrintToPDF, page.PrintToPDFParams{PaperWidth: 8.27, PaperHeight: 11.69}).Data
		if !bytes.HasPrefix(pdf, []byte("%PDF-")) {
			t.Errorf("%s: no PDF: %d bytes", plain(path, neck), len(pdf))
		}
		if dir != "" {
			file := filepath.Join(dir, "paper"+regexp.MustCompile(`[^a-z]+`).ReplaceAllString(strings.TrimPrefix(path, neck), "-")+".pdf")
			if err := os.WriteFile(file, pdf, 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// The look at a page on paper must be able to fail.
func TestPaper_FaultsAreSeen(t *testing.T) {
	b := serve(t)
	w := open(t, startChromium(t), b.base, desktop())
	for script, want := range map[string]string{
		`document.querySelector("main").append(document.createElement("button")); document.querySelector("main button:last-child").style = "display: block !important; width: 50px; height: 50px"`: "not for paper",
		`document.body.style.background = "rgb(20, 20, 20)"`: "a ground of ink",
		`document.querySelector("main").append(Object.assign(document.createElement("p"), { textContent: "x", style: "color: rgb(240, 240, 240)" }))`: "pale letters",
	} {
		w.visit("/")
		get[bool](w, script+"\n;true")
		if p := w.printed(); !strings.Contains(strings.Join(p.Wrong, "\n"), want) {
			t.Errorf("%s: seen: %v", script, p.Wrong)
		}
	}
}
