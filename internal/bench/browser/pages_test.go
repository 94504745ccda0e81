package browser

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// pages finds every page that a bench's links lead to, one of each kind for a
// neck: a page that is added is looked at without being named here.
func (c *client) pages(neck string) []string {
	c.t.Helper()
	links := regexp.MustCompile(`<a [^>]*href="(/[^"#]*)"`)
	ids := regexp.MustCompile(`^/necks/[^/?]+`)
	seen := map[string]bool{}
	var found []string
	queue := []string{"/", neck + "/pass", neck, neck + "/plan", neck + "/files", "/book/neck?serial=0412",
		neck + "/setup?unit=mm&first6=0.7&action6=2.4&first1=0.7&action1=2.2"}
	must := len(queue)
	for n := 0; len(queue) > 0; n++ {
		at := strings.ReplaceAll(queue[0], "&amp;", "&")
		queue = queue[1:]
		kind, _, _ := strings.Cut(at, "?")
		if id := ids.FindString(kind); id != "" && id != neck {
			continue // another neck has the same pages
		}
		if seen[kind] || regexp.MustCompile(`\.[a-z]+$`).MatchString(kind) {
			continue
		}
		seen[kind] = true
		text, is := c.get(at)
		if !strings.HasPrefix(is, "text/html") {
			continue
		}
		found = append(found, at)
		for _, m := range links.FindAllStringSubmatch(text, -1) {
			queue = append(queue, m[1])
		}
	}
	if len(found) < must {
		c.t.Fatalf("only %d pages: %v", len(found), found)
	}
	return found
}

// violation is a rule of axe-core that a page breaks.
type violation struct {
	ID, Impact, Help string
	Nodes            []struct {
		HTML           string
		FailureSummary string
	}
}

// Every page, visited once: it brings few bytes, has one primary action, fits every
// screen, and keeps the accessibility rules.
func TestPages(t *testing.T) {
	t.Parallel()
	b := serve(t)
	c := newClient(t, b.base)
	neck := c.shop()
	w := open(t, startChromium(t), b.base, desktop())
	paths := c.pages(neck)
	if testing.Short() {
		paths = []string{"/", neck, neck + "/plan"}
	}
	for _, path := range paths {
		name := plain(path, neck)
		w.resize(desktop())
		w.light(path, name)
		w.onePrimary(name)
		w.unfold()
		w.fitting(name)
		w.accessible(name)
	}
}

// accessible: light on a phone and dark on a laptop, the page keeps the accessibility
// rules of axe-core: WCAG's A and AA, and its good practices.
func (w *window) accessible(name string) {
	w.t.Helper()
	for _, look := range []struct {
		size
		scheme string
	}{{phone(), "light"}, {desktop(), "dark"}} {
		w.resize(look.size)
		w.scheme(look.scheme)
		for _, v := range w.rules() {
			w.t.Errorf("%s, %s, %s: %s", look.name, look.scheme, name, v.words())
		}
	}
}

// rules runs axe-core, which the page is given first, and tells what the page breaks.
func (w *window) rules() []violation {
	w.t.Helper()
	if !get[bool](w, `"axe" in window`) {
		engine := axe(w.t)
		if engine == "" {
			return nil
		}
		get[bool](w, engine)
	}
	text := get[string](w, `axe.run(document, { resultTypes: ["violations"] }).then((r) => JSON.stringify({ broken: r.violations, kept: r.passes.length }))`)
	var result struct {
		Broken []violation
		Kept   int
	}
	if err := json.Unmarshal([]byte(text), &result); err != nil {
		w.t.Fatal(err)
	}
	if result.Kept < 10 {
		w.t.Errorf("only %d rules were checked", result.Kept)
	}
	return result.Broken
}

func (v violation) words() string {
	words := fmt.Sprintf("%s: %s (%s), %d places", v.Impact, v.Help, v.ID, len(v.Nodes))
	for _, n := range v.Nodes[:min(3, len(v.Nodes))] {
		words += fmt.Sprintf("\n  %.200s\n    %s", n.HTML, strings.ReplaceAll(n.FailureSummary, "\n", "\n    "))
	}
	return words
}

// plain is a path without the neck's own name in it.
func plain(path, neck string) string { return strings.Replace(path, neck, "/necks/…", 1) }

// unfold opens every fold of the page, so that what is in it is looked at too.
func (w *window) unfold() {
	w.t.Helper()
	get[bool](w, `document.querySelectorAll("details").forEach((fold) => { fold.open = true; }) === undefined`)
}

// fit is what does not fit a screen.
type fit struct {
	Width, Window int
	Wide, Small   []string
}

// fitting: the page does not scroll sideways, and whatever is pressed is at least
// 44 px wide and high, from a phone of 320 px to a screen of 3840.
func (w *window) fitting(name string) {
	w.t.Helper()
	for _, s := range []size{{"320", 320, 640, true}, phone(), {"tablet", 820, 1180, true}, desktop(), {"4K", 3840, 2160, false}} {
		w.resize(s)
		f := get[fit](w, fits)
		if f.Width > f.Window {
			w.t.Errorf("%s, %s: %d px wide on a screen of %d: %s", s.name, name, f.Width, f.Window, strings.Join(f.Wide, "\n  "))
		}
		for _, small := range f.Small {
			w.t.Errorf("%s, %s: hard to press: %s", s.name, name, small)
		}
	}
}

// fits tells what sticks out of the window, and which targets are small. A box to
// tick is pressed by its label. Crowns of the picture are as large as the neck
// allows, and keys reach them too.
const fits = `(() => {
	const name = (el) => el.outerHTML.replace(/\s+/g, " ").slice(0, 110);
	const Window = document.documentElement.clientWidth, Width = document.scrollingElement.scrollWidth;
	const Wide = [...document.body.querySelectorAll("*")].filter((el) => el.getBoundingClientRect().right > Window + 1).slice(0, 4).map(name);
	const Small = [];
	for (const el of document.querySelectorAll("button, .button, .tabs a, .passes a, .necks a, .advice a, .worst a, select, textarea, summary, input:not([type=hidden])")) {
		const target = /checkbox|radio/.test(el.type) ? el.closest("label") || el : el;
		const b = target.getBoundingClientRect();
		if (b.width === 0 && b.height === 0) continue; // not shown
		if (b.width < 43.5 || b.height < 43.5) Small.push(Math.round(b.width) + " x " + Math.round(b.height) + " " + name(target));
	}
	return { Width, Window, Wide, Small };
})()`

// TestPictures writes every page as a picture, for someone to look at.
func TestPictures(t *testing.T) {
	dir := os.Getenv("RINGTRUE_TEST_PICTURES")
	if dir == "" {
		t.Skip("set RINGTRUE_TEST_PICTURES to a folder to have each page written there as a picture")
	}
	b := serve(t)
	c := newClient(t, b.base)
	neck := c.shop()
	w := open(t, startChromium(t), b.base, desktop())
	paths := c.pages(neck)
	name := regexp.MustCompile(`[^a-z]+`)
	for _, s := range []size{{"320", 320, 640, true}, {"820", 820, 1180, true}, {"1920", 1920, 1080, false}} {
		w.resize(s)
		for _, scheme := range []string{"light", "dark"} {
			w.scheme(scheme)
			for i, path := range paths {
				w.visit(path)
				page := name.ReplaceAllString(strings.TrimPrefix(path, neck), "-")
				data := ask(w, chromedp.FullScreenshot(100))
				if len(data) == 0 {
					t.Fatal(path)
				}
				file := filepath.Join(dir, fmt.Sprintf("%02d%.20s_%s_%s.png", i, page, s.name, scheme))
				if err := os.WriteFile(file, data, 0o600); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
	t.Logf("%d pages: %s", len(paths), strings.Join(slices.Sorted(slices.Values(paths)), " "))
}

// axe is axe-core's engine, as a script that ends in true; "" where it is not
// installed: never in continuous integration.
func axe(t testing.TB) string {
	t.Helper()
	engine, err := os.ReadFile("testdata/axe/node_modules/axe-core/axe.min.js")
	switch {
	case err == nil:
		return string(engine) + "\n;true"
	case os.Getenv("CI") != "":
		t.Fatal(err)
	}
	t.Log("axe-core's rules are left out: run npm ci in internal/bench/browser/testdata/axe")
	return ""
}
