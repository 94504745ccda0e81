package bench

import (
	"html"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"ringtrue/internal/neck"
)

// formOf is a page's form as a browser would send it.
func formOf(text string) url.Values {
	v := url.Values{}
	for _, m := range regexp.MustCompile(`<input id="[^"]*" name="([^"]+)" value="([^"]*)"`).FindAllStringSubmatch(text, -1) {
		v.Set(html.UnescapeString(m[1]), html.UnescapeString(m[2]))
	}
	if m := regexp.MustCompile(`(?s)<textarea name="given" hidden>\n(.*?)</textarea>`).FindStringSubmatch(text); m != nil {
		v.Set("given", html.UnescapeString(m[1]))
	}
	return v
}

func (b *try) send2(v url.Values, do string) (int, string) {
	var pairs []string
	for k, x := range v {
		pairs = append(pairs, k, x[0])
	}
	w := b.post("/neckfile", append(pairs, "do", do)...)
	return w.Code, body(w)
}

// idOf is the name of a neck in work, of one of its paths.
func idOf(path string) string { return strings.Split(path, "/")[2] }

// Every neck file there is comes back from the form byte for byte where nothing
// was changed; a changed line alone changes; written out whole it means the same.
func TestNeckForm_KeepsBytes(t *testing.T) {
	b := newTry(t, nil)
	files := map[string][]byte{}
	for _, name := range []string{"heron", "heron-bass", "heron-seven", "heron-slant", "heron-twelve"} {
		files[name] = example(t, name+".toml")
	}
	for _, like := range neck.Templates() {
		text, err := neck.Template(like)
		if err != nil {
			t.Fatal(err)
		}
		files[like] = []byte(text)
	}
	own := strings.Replace(string(files["heron"]), `gauge = "0.046 in", kind = "wound"`, `gauge = "0.046 in", kind = "wound", wrap = "80/20", force = "0.5 N", damping = { base = 1, q = 900 }`, 1)
	if own == string(files["heron"]) {
		t.Fatal("the example's string 6 is another")
	}
	files["own damping"] = []byte(own)
	for name, data := range files {
		w := b.send("/necks", "x.toml", data, "from", "file")
		v := formOf(b.sees("/neckfile?from=" + idOf(w.Header().Get("Location"))))
		if code, got := b.send2(v, "save"); code != http.StatusOK || got != string(data) {
			t.Errorf("%s: %d, not the bytes that came", name, code)
		}
		v.Set("level.zone", "0.025 mm")
		_, got := b.send2(v, "save")
		m, err := neck.Parse(name, []byte(got))
		if err != nil || m.Level.Zone != 0.025 {
			t.Errorf("%s: zone %g, %v", name, m.Level.Zone, err)
		}
		if differ(string(data), got) != 1 {
			t.Errorf("%s: %d lines differ", name, differ(string(data), got))
		}
		given := v.Get("given")
		v.Set("given", "")
		v.Set("level.zone", valuesOf([]byte(given))["level.zone"])
		code, got := b.send2(v, "save")
		if code != http.StatusOK || !valuesOf([]byte(got)).same(valuesOf(data)) {
			t.Errorf("%s: %d, written out whole it says something else:\n%s", name, code, got)
		}
	}
}

func differ(a, b string) (n int) {
	x, y := strings.Split(a, "\n"), strings.Split(b, "\n")
	if len(x) != len(y) {
		return -1
	}
	for i := range x {
		if x[i] != y[i] {
			n++
		}
	}
	return n
}

func TestNeckForm_FaultsBesideFields(t *testing.T) {
	b := newTry(t, nil)
	v := formOf(b.sees("/neckfile?like=electric"))
	v.Set("board.width", "43")
	v.Set("strings.set[2].gauge", "thick")
	v.Set("name", `<script>"x"</script>`)
	code, text := b.send2(v, "begin")
	if code != http.StatusUnprocessableEntity || !strings.Contains(text, "no unit") || strings.Contains(text, "<script>") || !strings.Contains(text, "&lt;script&gt;") {
		t.Errorf("%d %s", code, text)
	}
	for _, key := range []string{"board.width", "strings.set[2].gauge"} {
		if !regexp.MustCompile(`name="` + regexp.QuoteMeta(key) + `"[^>]*aria-invalid`).MatchString(text) {
			t.Errorf("%s is not marked", key)
		}
	}
	if code, _ := b.send2(url.Values{}, "save"); code != http.StatusUnprocessableEntity {
		t.Errorf("an empty form: %d", code)
	}
	b.refused(b.get("/neckfile?like=../etc"), http.StatusUnprocessableEntity, "No such neck to start from")
}

func TestNeckForm_PlanWoodBegin(t *testing.T) {
	b := newTry(t, nil)
	v := formOf(b.sees("/neckfile?like=electric"))
	v.Set("scale.length", "640 mm")
	code, text := b.send2(v, "look")
	for _, words := range []string{`id="neck-plan"`, "35.92", `id="wood-verdict"`, "fret ends"[1:], "Fret ends proud", "under flush now"} {
		if !strings.Contains(text, words) {
			t.Errorf("%d: no %q", code, words)
		}
	}
	v.Set("air.driest", "wet")
	if code, text := b.send2(v, "look"); code != http.StatusUnprocessableEntity || !strings.Contains(text, "driest season") {
		t.Errorf("%d", code)
	}
	v.Set("serial", "77")
	w := b.post("/neckfile", flat(v, "do", "begin")...)
	if w.Code != http.StatusSeeOther || !strings.HasPrefix(w.Header().Get("Location"), "/necks/") {
		t.Errorf("%d %s", w.Code, w.Body)
	}
}

func flat(v url.Values, more ...string) []string {
	for k, x := range v {
		more = append(more, k, x[0])
	}
	return more
}

func FuzzNeckValues(f *testing.F) {
	f.Add("name", `a"b\`, "300 mm; 400 mm", "E4")
	f.Add("x", "flat", "1e999", "\x00")
	f.Fuzz(func(t *testing.T, name, a, radius, pitch string) {
		v := neckValues{"name": name, "board.wood": a, "board.radius": radius, "strings.set[1].pitch": pitch}
		data := v.write(nil)
		_, err := neck.Parse("x", data)
		_, _ = faultsByKey(err)
		if got := valuesOf(data); strings.ToValidUTF8(name, "") == name && name != "" && got["name"] != name {
			t.Errorf("%q came back as %q:\n%s", name, got["name"], data)
		}
	})
}

// The form offers the necks to start from, and marks the one it shows; a form that is
// of a neck in work, or filled in, offers none: they would take its place.
func TestNeckForm_OffersTheOthers(t *testing.T) {
	b := newTry(t, nil)
	b.sees("/neckfile?like=bass", `href="/neckfile?like=electric">electric`, `href="/neckfile?like=acoustic">`, `href="/neckfile?like=bass" aria-current="true">`)
	id := idOf(b.begun("electric"))
	if text := b.sees("/neckfile?from=" + id); strings.Contains(text, `class="row likes"`) {
		t.Error("the neck's own form offers another neck")
	}
	if w := b.post("/neckfile", "name", "Heron", "do", "look"); strings.Contains(body(w), `class="row likes"`) {
		t.Error("what is filled in would be lost")
	}
}
