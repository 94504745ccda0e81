package bench

import (
	"html"
	"net/http"
	"net/url"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/bench/draft"
)

// oneTap presses the first button of a new pass, and gives the pass that it began.
func (b *try) oneTap(path string) draft.Pass {
	b.t.Helper()
	form, _, _ := strings.Cut(b.sees(path+"/pass"), "</form>")
	_, form, _ = strings.Cut(form, `class="onetap"`)
	v := url.Values{}
	for _, m := range regexp.MustCompile(`<input type="hidden" name="([^"]+)" value="([^"]*)">`).FindAllStringSubmatch(form, -1) {
		v.Add(m[1], html.UnescapeString(m[2]))
	}
	var pairs []string
	for key, all := range v {
		for _, value := range all {
			pairs = append(pairs, key, value)
		}
	}
	if w := b.post(path+"/pass", pairs...); w.Code != http.StatusSeeOther {
		b.t.Fatalf("%d %s", w.Code, w.Body)
	}
	k, err := b.folder.Get(idOf(path))
	if err != nil {
		b.t.Fatal(err)
	}
	var p draft.Pass
	k.Read(func(st *draft.State) { p = *st.Passes[len(st.Passes)-1] })
	return p
}

// askFor begins a pass by the whole form.
func (b *try) askFor(path string, pairs ...string) {
	b.t.Helper()
	if w := b.post(path+"/pass", pairs...); w.Code != http.StatusSeeOther {
		b.t.Fatalf("%d %s", w.Code, regexp.MustCompile(`role="alert">.*`).FindString(body(w)))
	}
}

// begun starts a neck like one of those to start from.
func (b *try) begun(like string) string {
	b.t.Helper()
	w := b.send("/necks", "", nil, "from", "like", "like", like)
	if w.Code != http.StatusSeeOther {
		b.t.Fatal(w.Code, w.Body)
	}
	return strings.TrimSuffix(w.Header().Get("Location"), "/pass")
}

// The first button says what it begins and begins that: the plain pass on a new bench,
// then what was asked for last, on whatever neck, fitted to this one; also after a
// restart.
func TestPass_OneTapAsLastTime(t *testing.T) {
	b := newTry(t, nil)
	guitar := b.begun("electric")
	b.sees(guitar+"/pass", "Beam, all lanes, mm: begin", `<details class="change">`)
	if p := b.oneTap(guitar); p.Method != "beam" || len(p.Lanes) != 6 || p.From != 1 || p.Every != 1 || p.Unit != "mm" || p.By != "" {
		t.Errorf("%+v", p)
	}
	b.askFor(guitar, "method", "height", "unit", "in", "order", "across", "from", "1", "to", "22", "every", "2", "lane", "1", "lane", "2", "lane", "3",
		"lane", "4", "lane", "5", "lane", "6", "by", "Ines", "gauge", "drop gauge", "state", "strung", "temperature", "21", "humidity", "44")

	bass := b.begun("bass")
	words := html.UnescapeString(b.sees(bass + "/pass"))
	for _, want := range []string{"Crown height, all lanes, every fret number 2, inch: begin", "across each fret · who reads Ines · gauge drop gauge · air, °C 21 C · humidity, % 44", `value="across" checked`} {
		if !strings.Contains(words, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	p := b.oneTap(bass)
	if p.Method != "height" || len(p.Lanes) != 4 || !p.Across || p.Every != 2 || p.Unit != "in" || p.By != "Ines" || p.Gauge != "drop gauge" {
		t.Errorf("%+v", p)
	}
	if p.State != "" { // the other neck's
		t.Errorf("the neck is said to be %s", p.State)
	}
	if p := b.oneTap(guitar); p.State != "strung" {
		t.Errorf("the same neck is said to be %q", p.State)
	}

	// Another day the air is another; lanes that the neck has not are left out.
	b.askFor(guitar, "method", "beam", "unit", "mm", "order", "outer", "from", "3", "to", "22", "every", "1", "lane", "1", "lane", "3", "lane", "6", "between", "2.5", "temperature", "19")
	dir := t.TempDir() // as after a restart: the folder's files alone
	if err := os.CopyFS(dir, os.DirFS(b.dir)); err != nil {
		t.Fatal(err)
	}
	f, notes, err := draft.Open(dir, clock)
	if err != nil || len(notes) > 0 {
		t.Fatal(err, notes)
	}
	t.Cleanup(func() { _ = f.Close() })
	s, err := New(Config{Folder: f, Now: func() time.Time { return clock().AddDate(0, 0, 1) }, Log: b.log})
	if err != nil {
		t.Fatal(err)
	}
	next := &try{Server: s, t: t, folder: f, dir: dir, log: b.log}
	next.sees(bass+"/pass", "Beam, lanes 1, 2.5, 3, frets 3 to ", `value="2.5"`, "outer lanes first")
	if p := next.oneTap(bass); len(p.Lanes) != 3 || p.Lanes[0] != 1 || p.Lanes[1] != 3 || p.Temperature != "" || p.From != 3 || p.To < 20 {
		t.Errorf("%+v", p)
	}
}

// What is remembered never stands in the way: damaged or not fitting, the plain pass
// is offered.
func TestPass_OneTapWithoutMemory(t *testing.T) {
	b := newTry(t, nil)
	guitar := b.begun("electric")
	b.askFor(guitar, "method", "beam", "unit", "mm", "from", "1", "to", "22", "every", "1", "lane", "6")
	bass := b.begun("bass")
	b.sees(bass+"/pass", "Beam, all lanes, mm: begin") // no lane 6 there
	b.sees(guitar+"/pass", "Beam, lane 6, mm: begin")
	file := b.folder.Path("last-pass.json")
	for _, text := range []string{"", "{", `{"pass":{"method":"spoon"}}`, `{"pass":{"method":"beam","unit":"mm","lanes":[-1],"from":1,"to":3,"every":0}}`} {
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		b.sees(bass+"/pass", "Beam, all lanes, mm: begin")
	}
	if err := os.Remove(file); err != nil {
		t.Fatal(err)
	}
	b.sees(guitar+"/pass", "Beam, all lanes, mm: begin")
}
