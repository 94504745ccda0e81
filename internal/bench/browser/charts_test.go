package browser

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/casetest"
	"ringtrue/internal/num"
)

// sizes are the screens that a page is made for.
func sizes() []size {
	return []size{{"phone", 360, 740, true}, {"phone on its side", 740, 360, true}, {"tablet", 768, 1024, true},
		{"tablet on its side", 1024, 768, true}, {"laptop", 1440, 900, false}, {"large", 2560, 1440, false}}
}

// manyNecks puts invented necks like an example into the book, of a shop whose zone
// grows half-way.
func (s *served) manyNecks(n int, stage, neck, readings string) {
	s.t.Helper()
	const seed = 12
	r := rand.New(rand.NewPCG(seed, seed))
	file := func(name string) book.File {
		data, err := os.ReadFile(example(s.t, name))
		if err != nil {
			s.t.Fatal(err)
		}
		return book.File{Name: name, Bytes: data}
	}
	like := &book.Entry{Serial: "M", Stage: stage, Files: book.Files{Neck: file(neck), Readings: file(readings)}}
	if err := answer.Judge("test").Prepare(context.Background(), like, 0); err != nil {
		s.t.Fatal(err)
	}
	crowns, err := like.Derived.Crowns.Unpack()
	if err != nil {
		s.t.Fatal(err)
	}
	var all []*book.Entry
	for i := range n {
		e := *like
		e.Serial, e.Tags = fmt.Sprintf("M%04d", i), book.Tags{}
		own := append([]book.Crown(nil), crowns...)
		for k := range own {
			own[k].OffMM += 0.008 * r.NormFloat64()
		}
		zone := 0.09 + 0.02*r.NormFloat64()
		if i > n/2 {
			zone += 0.015
		}
		e.Derived.ZoneMM = num.Some(max(zone, 0.01))
		if e.Derived.Crowns, err = book.Pack(own); err != nil {
			s.t.Fatal(err)
		}
		all = append(all, &e)
	}
	if err := book.PutAll(context.Background(), s.book, all, nil, func(book.Added) error { return nil }); err != nil {
		s.t.Fatal(err)
	}
}

// studied leads a gauge study on a neck to its end.
func (c *client) studied(neck string) (path string) {
	c.t.Helper()
	const crowns, trials, hands = 5, 3, 2
	to, err := c.form(neck+"/study", "hands", "Ines, Ole", "crowns", fmt.Sprint(crowns), "trials", fmt.Sprint(trials), "gauge", "dial", "unit", "mm", "seed", "7")
	if err != nil {
		c.t.Fatal(err)
	}
	for place := range crowns * trials * hands {
		value := fmt.Sprintf("0.%03d", 380+(place*37)%23)
		if _, err := c.form(neck+"/trial", "study", "0", "place", fmt.Sprint(place), "do", "keep", "reading", value); err != nil {
			c.t.Fatal(err)
		}
	}
	return to
}

// charted is a bench with every chart: of a shop's few necks and of many.
func charted(t *testing.T, necks int) (b *served, pages map[string]string) {
	b = serve(t)
	c := newClient(t, b.base)
	neck := c.shop()
	b.manyNecks(necks, "many", "heron.toml", "heron-seated.csv")
	b.manyNecks(3, "twelve", "heron-twelve.toml", "heron-twelve-seated.csv")
	return b, map[string]string{
		"history":      "/book/neck?serial=0412",
		"compare":      "/book/neck?serial=0412&from=seated&to=levelled",
		"drift":        "/book/drift?of=zone",
		"by":           "/book/drift?of=zone&by=wire",
		"share":        "/book/drift?of=share&stage=many",
		"many":         "/book/drift?of=zone&stage=many",
		"height":       "/book/drift?of=height&fret=7&stage=many",
		"pattern":      "/book/drift?of=pattern",
		"pattern-many": "/book/drift?of=pattern&stage=many",
		"twelve":       "/book/drift?of=pattern&stage=twelve",
		"study":        c.studied(neck),
	}
}

// chartFaults is what is wrong with the charts of a page.
type chartFaults struct {
	Charts, Texts int
	Wrong         []string
}

// chartsFit looks at every chart of a page: inside the window, letters of at least
// 12 px inside it too, none on another, each ink apart from its ground.
const chartsFit = `(() => {
	const Wrong = [], wide = document.documentElement.clientWidth;
	const lum = (c) => { const [r, g, b] = c.match(/[\d.]+/g).map(Number).map((v) => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; }); return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
	const contrast = (a, b) => { const [x, y] = [lum(a), lum(b)].sort((p, q) => q - p); return (x + 0.05) / (y + 0.05); };
	const paper = getComputedStyle(document.documentElement).backgroundColor;
	if (document.scrollingElement.scrollWidth > wide) Wrong.push("the page is " + document.scrollingElement.scrollWidth + " px wide");
	const shown = (el) => el.getBoundingClientRect().width > 0 && getComputedStyle(el).visibility === "visible";
	let Charts = 0, Texts = 0;
	for (const chart of document.querySelectorAll(".chart, .crownmap")) {
		if (!shown(chart)) continue;
		Charts++;
		const boxes = [];
		for (const t of chart.querySelectorAll("text, figcaption, .chartkey li, td, th, caption")) {
			if (!shown(t) || !t.textContent.trim()) continue;
			Texts++;
			const b = t.getBoundingClientRect(), words = JSON.stringify(t.textContent.trim().slice(0, 40));
			if (parseFloat(getComputedStyle(t).fontSize) < 12) Wrong.push("small letters: " + words);
			if (b.left < -0.5 || b.right > wide + 0.5) Wrong.push("out of the window: " + words + " " + b.left + " to " + b.right);
			if (t.tagName !== "text") continue;
			if (contrast(getComputedStyle(t).fill, paper) < 4.5) Wrong.push("pale letters: " + words + " " + getComputedStyle(t).fill);
			const on = boxes.find((o) => b.left < o.b.right - 1 && o.b.left < b.right - 1 && b.top + 3 < o.b.bottom - 3 && o.b.top + 3 < b.bottom - 3);
			if (on) Wrong.push(words + " lies on " + on.words);
			boxes.push({ b, words });
		}
		for (const s of chart.querySelectorAll(".dots, .line, .median, .rule, .limit, .flag, .hollow, .stroke, .edge, .whisker")) {
			const ink = getComputedStyle(s).stroke;
			if (shown(s) && (ink === "none" || contrast(ink, paper) < 3)) Wrong.push("pale ink: " + s.getAttribute("class") + " " + ink);
		}
		for (const s of chart.querySelectorAll(".solid")) if (contrast(getComputedStyle(s).fill, paper) < 3) Wrong.push("pale area: " + s.getAttribute("class"));
		for (const c of chart.querySelectorAll("td, th")) if (shown(c) && c.scrollWidth > c.clientWidth + 1) Wrong.push("a cell's words stick out: " + c.textContent);
		for (const c of chart.querySelectorAll("svg.plot")) if (!c.getAttribute("aria-label")) Wrong.push("a picture without a name");
	}
	return { Charts, Texts, Wrong };
})()`

// darkBySize are the rules of a page's styles for light or dark that depend on
// anything else, the paper apart.
const darkBySize = `(() => {
	const found = [];
	let dark = 0;
	const look = (rules, outside) => {
		for (const r of rules) {
			if (!r.cssRules) continue;
			const own = r.conditionText ?? r.containerQuery ?? "", all = (outside + " " + own).trim();
			if (/prefers-color-scheme/.test(all) && /[(]/.test(all.replace(/[(]prefers-color-scheme: *(dark|light)[)]/, ""))) found.push(all);
			if (/prefers-color-scheme/.test(own)) dark++;
			look(r.cssRules, all);
		}
	};
	for (const sheet of document.styleSheets) look(sheet.cssRules, sheet.media.mediaText);
	return dark ? found : ["none at all"];
})()`

// Every chart fits every screen: no scrolling sideways, no letters under 12 px or on
// each other, ink that contrasts in light and dark; and axe-core finds nothing.
func TestCharts_FitEveryScreen(t *testing.T) {
	t.Parallel()
	browser := startChromium(t)
	b, pages := charted(t, 80)
	chartsFitAt(t, browser, b, pages)
	chartsAccessible(t, browser, b, pages)
	if testing.Short() {
		return
	}
	b = serve(t)
	b.manyNecks(500, "many", "heron.toml", "heron-seated.csv")
	for name, path := range pages { // the others have as few necks as before
		if !strings.Contains(path, "stage=many") {
			delete(pages, name)
		}
	}
	chartsFitAt(t, browser, b, pages)
}

// chartsFitAt looks at pages with charts at every size, in light and dark.
func chartsFitAt(t *testing.T, browser context.Context, b *served, pages map[string]string) {
	t.Helper()
	if len(pages) == 0 {
		t.Fatal("no page with a chart")
	}
	w := open(t, browser, b.base, desktop())
	dir := os.Getenv("RINGTRUE_TEST_PICTURES")
	for name, path := range pages {
		w.forget()
		w.mu.Lock()
		w.bytes = 0
		w.mu.Unlock()
		w.visit(path)
		w.mu.Lock()
		bytes := w.bytes
		w.mu.Unlock()
		if bytes > maxBytes {
			t.Errorf("%s: %.0f bytes", name, bytes)
		}
		t.Logf("%-12s %6.1f kB", name, bytes/1000)
		w.unfold()
		if rules := get[[]string](w, darkBySize); len(rules) > 0 {
			t.Errorf("%s: rules for the dark hang on the window too, so it has to be looked at in every size: %q", name, rules)
		}
		for i, s := range sizes() {
			w.resize(s)
			for _, scheme := range []string{"light", "dark"} {
				if scheme == "dark" && i > 0 && dir == "" && !casetest.Long() {
					continue // its inks are the same at every size, and so is where things lie
				}
				w.scheme(scheme)
				f := get[chartFaults](w, chartsFit)
				if f.Charts == 0 || f.Texts < 6 {
					t.Errorf("%s, %s: %d charts with %d texts", name, s.name, f.Charts, f.Texts)
				}
				for _, wrong := range f.Wrong {
					t.Errorf("%s, %s, %s: %s", name, s.name, scheme, wrong)
				}
				if dir != "" && (s.width == 360 || s.width == 1024 || s.width == 2560) {
					file := filepath.Join(dir, fmt.Sprintf("%s_%d_%s.png", name, s.width, scheme))
					if err := os.WriteFile(file, ask(w, chromedp.FullScreenshot(100)), 0o600); err != nil {
						t.Fatal(err)
					}
				}
			}
		}
	}
}

// chartsAccessible: pages with charts keep the accessibility rules of axe-core, light
// and dark.
func chartsAccessible(t *testing.T, browser context.Context, b *served, pages map[string]string) {
	t.Helper()
	w := open(t, browser, b.base, sizes()[0])
	for _, name := range []string{"compare", "many", "pattern-many", "study"} { // one of each kind
		w.visit(pages[name])
		w.unfold()
		for i, scheme := range []string{"light", "dark"} {
			w.resize(sizes()[4*i])
			w.scheme(scheme)
			for _, v := range w.rules() {
				t.Errorf("%s, %s: %s", name, scheme, v.words())
			}
		}
	}
}

// The check must be able to fail.
func TestCharts_FaultsAreSeen(t *testing.T) {
	b := serve(t)
	b.manyNecks(70, "many", "heron.toml", "heron-seated.csv")
	w := open(t, startChromium(t), b.base, sizes()[0])
	for _, spoil := range []struct{ script, want string }{
		{`document.querySelector(".plot text").style.fontSize = "9px"`, "small letters"},
		{`document.querySelector(".plot text").style.fill = "rgb(240, 240, 240)"`, "pale letters"},
		{`document.querySelector(".plot .dots").style.stroke = "rgb(240, 240, 240)"`, "pale ink"},
		{`document.querySelector(".plot").style.width = "900px"`, "px wide"},
		{`document.querySelector(".plot text").textContent = "as long as it takes to leave the window on its left side"`, "out of the window"},
		{`document.querySelectorAll(".plot text")[1].setAttribute("y", document.querySelectorAll(".plot text")[0].getAttribute("y"))`, "lies on"},
	} {
		w.visit("/book/drift?of=zone&stage=many")
		get[bool](w, spoil.script+"\n;true")
		if f := get[chartFaults](w, chartsFit); !strings.Contains(strings.Join(f.Wrong, "\n"), spoil.want) {
			t.Errorf("%s: seen: %v", spoil.script, f.Wrong)
		}
	}
}
