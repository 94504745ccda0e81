package bench

import (
	"encoding/json"
	"fmt"
	"html"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"

	"ringtrue/internal/bench/draft"
)

// Every way to start a neck that needs no file leads to a pass.
func TestHome_LikeEach(t *testing.T) {
	b := newTry(t, nil)
	for _, like := range []string{"electric", "acoustic", "bass"} {
		w := b.send("/necks", "", nil, "from", "like", "like", like)
		if w.Code != http.StatusSeeOther || !regexp.MustCompile(`^/necks/[0-9a-f]{20}/pass$`).MatchString(w.Header().Get("Location")) {
			t.Errorf("%s: %d", like, w.Code)
			continue
		}
		if p := b.get(w.Header().Get("Location")); p.Code != http.StatusOK {
			t.Errorf("%s: %d", like, p.Code)
		}
	}
	for _, wrong := range [][]string{{"from", "like", "like", "../x"}, {"from", "file"}, {"from", "book", "serial", "1"}, {}} {
		if w := b.send("/necks", "", nil, wrong...); w.Code < 400 || w.Code >= 500 {
			t.Errorf("%v: %d", wrong, w.Code)
		}
	}
	if w := b.send("/necks", "bad.toml", []byte("x = 1"), "from", "file"); w.Code != http.StatusUnprocessableEntity || !strings.Contains(body(w), "bad.toml:1") {
		t.Errorf("a bad neck file: %d", w.Code)
	}
	if n := len(b.folder.All()); n != 3 {
		t.Errorf("%d necks in work", n)
	}
}

// judgedNow waits until every neck in work is judged, and kept for the lists.
func (b *try) judgedNow() {
	b.t.Helper()
	for _, k := range b.folder.All() {
		version := 0
		k.Read(func(st *draft.State) { version = st.Version })
		if b.analyst.of(b.t.Context(), k, version) == nil {
			b.t.Fatal("no answer")
		}
	}
}

// rowOfNeck is the list's line of a neck, as the page has it.
func (b *try) rowOfNeck(path string) string {
	b.t.Helper()
	text := b.sees("/")
	from := strings.Index(text, `id="n`+idOf(path)+`"`)
	if from < 0 {
		b.t.Fatalf("%s is not listed", path)
	}
	line, _, _ := strings.Cut(text[from:], "</li>")
	return html.UnescapeString(line)
}

// A line says what an answer says, and what comes next; before it is there it says so,
// and names neither verdict nor step.
func TestHome_VerdictAndStep(t *testing.T) {
	b := newTry(t, nil)
	retaken := strings.Replace(string(example(t, "heron-seated.csv")), "beam,4,9,0.472,", "beam,4,9,0.372,", 1)
	outer := strings.Split(string(example(t, "heron-levelled.csv")), "\n")
	outer = slices.DeleteFunc(outer, func(l string) bool { return regexp.MustCompile(`^beam,[2-5],`).MatchString(l) })
	cases := []struct{ readings, verdict, kind, step, href string }{
		{string(example(t, "heron-seated.csv")), "Not level", "not-level", "Read again: fret 9, lane 4", "?at=9%404&pass=1"},
		{retaken, "Not level", "not-level", "Press fret 7, treble end, and 2 more", "/plan"},
		{string(example(t, "heron-refitted.csv")), "Not level", "not-level", "Press fret 19", "/plan"},
		{string(example(t, "heron-levelled.csv")), "Level", "level", "See the notes", "/play"},
		{strings.Join(outer, "\n"), "In doubt", "in-doubt", "Read on: fret 1, lane 2", "?at=1%402&pass=1"},
	}
	paths := make([]string, len(cases))
	for i, c := range cases {
		paths[i] = b.open()
		if w := b.send(paths[i]+"/files", "r.csv", []byte(c.readings)); w.Code != http.StatusSeeOther {
			t.Fatal(w.Code, w.Body)
		}
	}
	b.analyst.room <- struct{}{} // nothing can be worked out
	for range cap(b.analyst.room) - 1 {
		b.analyst.room <- struct{}{}
	}
	for i, c := range cases {
		row := b.rowOfNeck(paths[i])
		if !strings.Contains(row, "Not judged yet") || strings.Contains(row, c.verdict+"<") || strings.Contains(row, c.step) || strings.Contains(row, `class="high"`) {
			t.Errorf("before: %s", row)
		}
	}
	for range cap(b.analyst.room) {
		<-b.analyst.room
	}
	b.judgedNow()
	for i, c := range cases {
		row := b.rowOfNeck(paths[i])
		for _, want := range []string{`<span class="says ` + c.kind + `">` + c.verdict + `</span>`, `<span class="step">` + c.step + `</span>`, `href="` + paths[i] + c.href + `"`} {
			if !strings.Contains(row, want) {
				t.Errorf("%d: no %s in %s", i, want, row)
			}
		}
	}
	last := paths[len(paths)-1]
	b.post(last+"/read", "pass", "1", "at", "1@2", "seen", "99", "do", "keep", "reading", "0.4")
	b.rowOfNeck(last)
	b.judgedNow()
	if row := b.rowOfNeck(last); !strings.Contains(row, "Read on: fret 2, lane 2") {
		t.Errorf("after a reading: %s", row)
	}
}

// A neck that no pass was begun of leads to one, one without a reading to its first
// crown; the newest is what the page goes on with.
func TestHome_GoesOnWithTheNewest(t *testing.T) {
	b := newTry(t, nil)
	w := b.send("/necks", "", nil, "from", "like", "like", "bass", "serial", "B1")
	path := strings.TrimSuffix(w.Header().Get("Location"), "/pass")
	if text := b.sees("/", "Begin a pass"); !strings.Contains(text, `<a class="button main" href="`+path+`/pass">`) {
		t.Errorf("no way on: %s", text)
	}
	b.post(path+"/pass", "method", "beam", "unit", "mm", "from", "1", "to", "20", "every", "1", "lane", "4")
	b.sees("/", "Read on: fret 1, lane 4", "No readings yet")
}

// A neck is found by name, serial, stage and the maker's words, without script by the
// form and with it by the list alone; and told where none fits.
func TestHome_Find(t *testing.T) {
	b := newTry(t, nil)
	path := b.readNeck() // Heron 22, 0412
	w := b.send("/necks", "", nil, "from", "like", "like", "bass", "serial", "X-77")
	bass := strings.TrimSuffix(w.Header().Get("Location"), "/pass")
	b.post(bass+"/pass", "method", "beam", "unit", "mm", "from", "1", "to", "20", "every", "1", "lane", "1", "by", "Tove", "gauge", "long beam")
	b.post(path+"/stage", "number", "0", "word", "levelled")
	for find, want := range map[string][2]bool{
		"":           {true, true},
		"0412":       {true, false},
		"heron":      {true, false},
		"HERON 041":  {true, false},
		"levelled":   {true, false},
		"seated":     {true, true},
		"x-77":       {false, true},
		"tove":       {false, true},
		"beam long":  {false, true},
		"heron tove": {false, false},
		"nothing":    {false, false},
		"<script>":   {false, false},
	} {
		for _, page := range []string{"/?find=", "/hand?find="} {
			text := body(b.get(page + url.QueryEscape(find)))
			if strings.HasPrefix(page, "/hand") {
				var got struct{ List string }
				if err := json.Unmarshal([]byte(text), &got); err != nil {
					t.Fatal(err)
				}
				text = got.List
			}
			for i, p := range []string{path, bass} {
				if got := strings.Contains(text, `id="n`+idOf(p)+`"`); got != want[i] {
					t.Errorf("%s%s: neck %d is shown: %v", page, find, i, got)
				}
			}
			if none := !want[0] && !want[1]; none != strings.Contains(text, "No neck matches "+html.EscapeString(find)) {
				t.Errorf("%s%s: %s", page, find, text)
			}
			if strings.Contains(text, "<script>") {
				t.Error("what was looked for came through as it is")
			}
		}
	}
}

// A bench with a hundred necks read through still sends a small first page; the rest
// are a link away.
func TestHome_HundredNecksAreSmall(t *testing.T) {
	b := newTry(t, nil)
	for n := range 100 {
		k, err := b.folder.Begin("heron.toml", example(t, "heron.toml"), fmt.Sprintf("%04d", n), "")
		if err != nil {
			t.Fatal(err)
		}
		if err := k.Take("r.csv", example(t, "heron-seated.csv"), ""); err != nil {
			t.Fatal(err)
		}
	}
	one := b.folder.All()[0]
	version := 0
	one.Read(func(st *draft.State) { version = st.Version })
	b.analyst.of(t.Context(), one, version)
	j := b.judged.of(one.ID())
	for _, k := range b.folder.All() { // they are all read alike
		b.judged.keep(k.ID(), j)
	}
	text := b.sees("/", "Not level", "60 more")
	static := 0
	for _, f := range b.renderer.static {
		static += len(f.data)
	}
	if n := len(text) + static; n > 150_000 {
		t.Errorf("%d bytes", n)
	}
	seen := map[string]bool{}
	for pages := 1; ; pages++ {
		for _, m := range regexp.MustCompile(`<li id="n([0-9a-f]+)"`).FindAllStringSubmatch(text, -1) {
			seen[m[1]] = true
		}
		next := regexp.MustCompile(`href="(/\?[^"]*from=\d+[^"]*)"`).FindStringSubmatch(text)
		if next == nil || pages > 9 {
			break
		}
		text = b.sees(html.UnescapeString(next[1]), "Not level")
	}
	if len(seen) != 100 {
		t.Errorf("%d necks on all pages", len(seen))
	}
}
