package bench

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"ringtrue/internal/bench/draft"
)

// After a file the field leads to a crown that is still open; where none is, it
// says what is still wanted, or that nothing is.
func TestRead_AfterAFile(t *testing.T) {
	without := func(name string, cut ...string) []byte {
		var kept []string
		for line := range strings.Lines(string(example(t, name))) {
			if !slices.ContainsFunc(cut, func(c string) bool { return strings.HasPrefix(line, c) }) {
				kept = append(kept, line)
			}
		}
		return []byte(strings.Join(kept, ""))
	}
	for name, c := range map[string]struct {
		file []byte
		want string
	}{
		"a misread":  {example(t, "heron-seated.csv"), "Read again: fret 9, lane 4."},
		"all there":  {example(t, "heron-levelled.csv"), "Nothing left to read"},
		"one open":   {without("heron-seated.csv", "beam,5,8,"), "Fret 8 · lane 5"},
		"a lane off": {without("heron-seated.csv", "beam,3,"), "Fret 1 · lane 3"},
	} {
		b := newTry(t, nil)
		path := b.open()
		if w := b.send(path+"/files", "readings.csv", c.file); w.Code != http.StatusSeeOther {
			t.Fatal(w.Code, w.Body)
		}
		k, err := b.folder.Get(strings.TrimPrefix(path, "/necks/"))
		if err != nil {
			t.Fatal(err)
		}
		var version int
		k.Read(func(st *draft.State) { version = st.Version })
		n := b.analyst.of(t.Context(), k, version) // waits as long as it takes
		if text := whereSaid(b, k, n); !strings.Contains(text, c.want) {
			t.Errorf("%s: no %q in %s", name, c.want, text)
		}
	}
}

func whereSaid(b *try, k *draft.Neck, n *analysis) string {
	w := b.readBodyOf(k, cursor{}, n).Where
	return strings.ReplaceAll("Fret "+w.Fret+" · lane "+w.Lane+" | "+w.Left, "\u00a0", " ")
}

// Two lanes that are read through and not level decide: the rest need not be read.
// One lane does not, since a misread in it may not have shown yet; nor do lanes of
// which a reading was set aside.
func TestRead_Decided(t *testing.T) {
	for lanes, want := range map[string]bool{"16": true, "1": false, "3456": false} {
		var kept []string
		for line := range strings.Lines(string(example(t, "heron-seated.csv"))) {
			if !strings.HasPrefix(line, "beam,") || strings.Contains(lanes, line[5:6]) {
				kept = append(kept, line)
			}
		}
		b := newTry(t, nil)
		path := b.open()
		if w := b.send(path+"/files", "readings.csv", []byte(strings.Join(kept, ""))); w.Code != http.StatusSeeOther {
			t.Fatal(w.Code, w.Body)
		}
		k, err := b.folder.Get(strings.TrimPrefix(path, "/necks/"))
		if err != nil {
			t.Fatal(err)
		}
		var version int
		k.Read(func(st *draft.State) { version = st.Version })
		n := b.analyst.of(t.Context(), k, version)
		if got := strings.Contains(whereSaid(b, k, n), "This decides the verdict"); got != want {
			t.Errorf("lanes %s: said %v, want %v", lanes, got, want)
		}
	}
}

// The outer lanes first, then the others in order.
func TestPass_OuterFirst(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	b.begin(path, "beam", "order", "outer")
	k, err := b.folder.Get(strings.TrimPrefix(path, "/necks/"))
	if err != nil {
		t.Fatal(err)
	}
	k.Read(func(st *draft.State) {
		p := st.Passes[len(st.Passes)-1]
		if !slices.Equal(p.Lanes, []float64{1, 6, 2, 3, 4, 5}) {
			t.Errorf("%v", p.Lanes)
		}
		if sites := st.Sites(p); sites[22].Lane() != 6 || sites[44].Lane() != 2 {
			t.Errorf("after the first lane comes %v, then %v", sites[22], sites[44])
		}
	})
}
