package bench

import (
	"html"
	"net/http"
	"regexp"
	"strings"
	"testing"

	"ringtrue/internal/reading"
)

// Every page, in the states that it has, is whole HTML, small, without inline
// script or style, and asks nothing of another site.
func TestPages_WholeSmallAndOurOwn(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	b.post(path+"/read", "pass", "1", "at", "7@1", "seen", "9", "reading", "0,442")
	pages := []string{"/", path, path + "?pass=1&at=7@1", path + "/pass", path + "/files", path + "/plan", path + "/play", "/book", "/neckfile", "/neckfile?like=bass", path + "/neck", path + "/gauge", path + "/board"}
	static := 0
	for _, f := range b.renderer.static {
		static += len(f.data)
	}
	outside := regexp.MustCompile(`(?i)(src|href|action|url)\s*[=(]\s*["']?(https?:)?//`)
	inline := regexp.MustCompile(`(?i)<script(\s+type="[^"]*")?>|<style|\sstyle=|\son[a-z]+=|javascript:`)
	for _, p := range pages {
		w := b.get(p)
		text := body(w)
		if w.Code != http.StatusOK || !strings.HasSuffix(strings.TrimSpace(text), "</html>") {
			t.Errorf("%s: %d, %d bytes", p, w.Code, len(text))
		}
		if n := len(text) + static; n > 150_000 {
			t.Errorf("%s: %d bytes in all", p, n)
		}
		if m := outside.FindString(text); m != "" {
			t.Errorf("%s asks elsewhere: %s", p, m)
		}
		if m := inline.FindString(text); m != "" {
			t.Errorf("%s has inline script or style: %s", p, m)
		}
	}
	for name, f := range b.renderer.static {
		if m := regexp.MustCompile(`https?://`).FindString(strings.ReplaceAll(string(f.data), "http://www.w3.org/2000/svg", "")); m != "" {
			t.Errorf("static/%s asks elsewhere", name)
		}
	}
}

// Every text that a template or the program names is there, and none is idle.
func TestWords_AllThereAllUsed(t *testing.T) {
	l, err := newRenderer(false)
	if err != nil {
		t.Fatal(err)
	}
	used := wordsUsed(t)
	if len(used) < 50 {
		t.Fatalf("found only %d uses: the search is broken", len(used))
	}
	for key := range used {
		if _, err := l.words.Find(key); err != nil {
			t.Error(err)
		}
	}
	// Keys that are put together from a value.
	built := regexp.MustCompile(`^(tabs|method|methodhint|fileexample|stand|unit|state|like|verdict|paper|crowns|note|figure|necktable|air|ready)\.`)
	for page, texts := range l.words {
		for name := range texts {
			if key := page + "." + name; !used[key] && !built.MatchString(key) {
				t.Errorf("the text %s is used nowhere", key)
			}
		}
	}
}

// A first visit asks for one style and one script, each of them whole; a browser
// that asks for an icon beside a plain answer gets it.
func TestStatic_OneStyleOneScript(t *testing.T) {
	b := newTry(t, nil)
	text := body(b.get("/"))
	for pattern, parts := range map[string][]string{
		`<link rel="stylesheet" href="([^"]+)">`: {"static/bench.css", "static/see.css"},
		`<script src="([^"]+)" defer></script>`:  {"static/bench.js", "static/see.js"},
	} {
		found := regexp.MustCompile(pattern).FindAllStringSubmatch(text, -1)
		if len(found) != 1 {
			t.Fatalf("%d of %s", len(found), pattern)
		}
		served := body(b.get(found[0][1]))
		for _, part := range parts {
			data, err := staticFiles.ReadFile(part)
			if err != nil || len(data) == 0 {
				t.Fatal(part, err)
			}
			if !strings.Contains(served, string(lean(data))) {
				t.Errorf("%s lacks %s", found[0][1], part)
			}
		}
	}
	if w := b.get("/favicon.ico"); w.Code != http.StatusOK || w.Header().Get("Content-Type") != "image/svg+xml" || !strings.Contains(body(w), "<svg") {
		t.Errorf("/favicon.ico: %d %s", w.Code, w.Header())
	}
}

// Gauges that come by file stand where a gauge is chosen; their example rows are
// readings, and with the one for each every gauge has its place.
func TestPass_ByFile(t *testing.T) {
	b := newTry(t, nil)
	text := html.UnescapeString(body(b.get(b.open() + "/pass")))
	all := fileMethods()
	if len(all)+len(reading.Led()) != len(reading.Methods()) || len(all) == 0 {
		t.Fatalf("%d gauges by file, %d led, %d in all", len(all), len(reading.Led()), len(reading.Methods()))
	}
	for _, m := range all {
		if !strings.Contains(text, m.Hint) || !strings.Contains(text, m.Example) {
			t.Errorf("%s is not on the page", m.Name)
		}
		set, err := reading.Parse(m.Name, strings.NewReader(m.Example+"\n"), reading.Bounds{FirstFret: 1, LastFret: 22, Strings: 6})
		if err != nil || len(set.Readings) < 2 {
			t.Errorf("%s: %v", m.Name, err)
		}
	}
}
