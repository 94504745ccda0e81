package bench

import (
	"fmt"
	"html"
	"net/http"
	"net/url"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/answer"
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

// readThrough reads all of a neck's last pass.
func (b *try) readThrough(path string) {
	b.t.Helper()
	k, err := b.folder.Get(idOf(path))
	if err != nil {
		b.t.Fatal(err)
	}
	var p *draft.Pass
	var sites []draft.Site
	k.Read(func(st *draft.State) {
		p = st.Passes[len(st.Passes)-1]
		sites = st.Sites(p)
	})
	for i, at := range sites {
		if _, err := k.Set(draft.Put{Pass: p.Number, Site: at, Reading: fmt.Sprintf("0.44%d", i*7%5), Unit: p.Unit}); err != nil {
			b.t.Fatal(err)
		}
	}
}

// The first button says what it begins and begins that: the plain pass on a new bench,
// then what was asked for last, on whatever neck, fitted to this one; also after a
// restart.
func TestPass_OneTapAsLastTime(t *testing.T) {
	b := newTry(t, nil)
	guitar := b.begun("electric")
	b.sees(guitar+"/pass", "Begin: beam, all lanes, mm", `<details class="change">`)
	if p := b.oneTap(guitar); p.Method != "beam" || len(p.Lanes) != 6 || p.From != 1 || p.Every != 1 || p.Unit != "mm" || p.By != "" {
		t.Errorf("%+v", p)
	}
	b.askFor(guitar, "method", "height", "unit", "in", "order", "across", "from", "1", "to", "22", "every", "2", "lane", "1", "lane", "2", "lane", "3",
		"lane", "4", "lane", "5", "lane", "6", "by", "Ines", "gauge", "drop gauge", "state", "strung", "temperature", "21", "humidity", "44")

	bass := b.begun("bass")
	words := html.UnescapeString(b.sees(bass + "/pass"))
	for _, want := range []string{"Begin: crown height, all lanes, one fret in 2, inch", "across each fret · Who reads: Ines · Gauge: drop gauge · Air, °C: 21 C · Humidity, %: 44", `value="across" checked`} {
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

	// Another day the air is another; which lanes and frets were read is not remembered.
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
	next.sees(bass+"/pass", "Begin: beam, all lanes, mm", "outer lanes first")
	if p := next.oneTap(bass); len(p.Lanes) != 4 || p.Lanes[0] != 1 || p.Lanes[1] != 4 || p.Temperature != "" || p.From != 1 || p.To < 20 {
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
	b.sees(bass+"/pass", "Begin: beam, all lanes, mm") // no lane 6 there
	b.sees(guitar+"/pass", "Begin: beam, all lanes, mm")
	file := b.folder.Path("last-pass.json")
	for _, text := range []string{"", "{", `{"pass":{"method":"spoon"}}`, `{"pass":{"method":"beam","unit":"mm","lanes":[-1],"from":1,"to":3,"every":0}}`} {
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		b.sees(bass+"/pass", "Begin: beam, all lanes, mm")
	}
	if err := os.Remove(file); err != nil {
		t.Fatal(err)
	}
	b.sees(guitar+"/pass", "Begin: beam, all lanes, mm")
}

// What is offered next is what is still open: after a lane the other lanes, after part
// of a lane all of the neck, since the rest is no rectangle. Only how it was read is as
// the last time; a new neck is asked for whole.
func TestPass_OffersWhatIsOpen(t *testing.T) {
	b := newTry(t, nil)
	b.times.Answer = time.Minute
	guitar := b.begun("electric")
	b.askFor(guitar, "method", "beam", "unit", "mm", "order", "along", "from", "1", "to", "5", "every", "1", "lane", "1", "by", "Ines")
	b.readThrough(guitar)
	b.sees(guitar+"/pass", "Begin: beam, all lanes, mm", "Who reads: Ines")
	b.sees(b.begun("electric")+"/pass", "Begin: beam, all lanes, mm", "Who reads: Ines")

	b.askFor(guitar, "method", "beam", "unit", "mm", "order", "outer", "from", "1", "to", "22", "every", "2", "lane", "1", "lane", "2", "lane", "3")
	b.sees(guitar+"/pass", "Begin: beam, all lanes, mm")
	other := b.begun("electric")
	b.askFor(other, "method", "beam", "unit", "mm", "order", "outer", "from", "1", "to", "22", "every", "1", "lane", "1")
	b.readThrough(other)
	b.sees(other+"/pass", "Begin: beam, lanes 2 to 6, all frets, mm")
	p := b.oneTap(other)
	if !slices.Equal(slices.Sorted(slices.Values(p.Lanes)), []float64{2, 3, 4, 5, 6}) || p.From != 1 || p.To != 22 || p.Every != 1 {
		t.Errorf("%+v", p)
	}
	b.readThrough(other)
	b.sees(other+"/pass", "Begin: beam, all lanes, mm") // nothing is open
}

// A span of frets in some lanes is offered as that; where no pass can read there,
// or the readings are newer than what is known, the whole neck is.
func TestOpenPass(t *testing.T) {
	b := newTry(t, nil)
	k, err := b.folder.Get(idOf(b.begun("electric")))
	if err != nil {
		t.Fatal(err)
	}
	k.Read(func(st *draft.State) {
		whole := st.Plain("beam", "mm")
		open := func(version int, lanes, frets []int) draft.Pass {
			a := &answer.FretsAnswer{}
			for _, lane := range lanes {
				for _, fret := range frets {
					a.Undetermined = append(a.Undetermined, answer.Undetermined{Fret: fret, Lane: float64(lane)})
				}
			}
			return openPass(st, whole, &analysis{version: version, stage: st.Stage(), frets: a})
		}
		if p := open(st.Version, []int{3, 4}, []int{8, 9, 10, 11}); !slices.Equal(p.Lanes, []float64{3, 4}) || p.From != 8 || p.To != 11 {
			t.Errorf("%+v", p)
		}
		for name, p := range map[string]draft.Pass{
			"no such lane": open(st.Version, []int{9}, []int{8, 9, 10, 11}),
			"with a gap":   open(st.Version, []int{3}, []int{8, 9, 10, 14}),
			"not the last": open(st.Version-1, []int{3, 4}, []int{8, 9, 10, 11}),
			"nothing open": open(st.Version, nil, nil),
		} {
			if len(p.Lanes) != 6 || p.From != 1 || p.To != 22 {
				t.Errorf("%s: %+v", name, p)
			}
		}
	})
}
