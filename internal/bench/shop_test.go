package bench

import (
	"encoding/json"
	"net/http"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/book/sqlite"
)

// withShop is a bench with one neck in its book, 0413, seated and read.
func withShop(t *testing.T) *try {
	t.Helper()
	store, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "book.db"), sqlite.Options{Create: true, Now: clock})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := store.Close(); err != nil {
			t.Error(err)
		}
	})
	e := &book.Entry{Serial: "0413", Stage: "seated", By: "Tom", Files: book.Files{Neck: book.File{Name: "heron.toml", Bytes: example(t, "heron.toml")},
		Readings: book.File{Name: "r.csv", Bytes: example(t, "heron-refitted.csv")}}}
	if err := answer.Judge("test").Prepare(t.Context(), e, 0); err != nil {
		t.Fatal(err)
	}
	if _, err := store.Add(t.Context(), e); err != nil {
		t.Fatal(err)
	}
	return newTry(t, func(c *Config) { c.Book = store })
}

// turns are the lines of the shop's page: each neck, and what it needs next.
func turns(page string) (all []string) {
	for _, m := range regexp.MustCompile(`<span class="whose">(?:<strong>([^<]*)</strong>)?[^<]*</span>(?:<span class="says[^>]*>[^<]*</span>)?<span class="step">([^<]*)</span>`).FindAllStringSubmatch(page, -1) {
		all = append(all, strings.TrimSpace(m[1]+" "+m[2]))
	}
	return all
}

// What the book has and what is being read stand in one list. A tap says what was done,
// a line what only a person knows; what is wrong is refused.
func TestShop_OneListOneTap(t *testing.T) {
	b := withShop(t)
	path := b.readNeck() // 0412
	b.judgedNow()
	want := []string{"0413 Press 1 fret again", "0412 " + regexp.MustCompile(`class="step">([^<]*)<`).FindStringSubmatch(b.rowOfNeck(path))[1]}
	if got := turns(b.sees("/shop", "2 necks in hand, 2 can be done now", "Tom has it")); !sameLines(got, want) {
		t.Fatalf("%q; want %q", got, want)
	}
	b.bookJudged()
	if got := turns(b.sees("/shop")); !slices.Contains(got, "0413 Press again fret 19") {
		t.Errorf("once it is worked out: %q", got)
	}
	for _, say := range []struct{ serial, field, text, want string }{
		{"0413", "say", "glued", "0413 Glue setting until tomorrow 05:07"}, // it is 05:06:07: never too early
		{"0412", "text", "waiting for wire", "0412 Waiting for wire"},      // in work, not in the book yet
	} {
		w := b.post("/shop", "serial", say.serial, "by", "Ines", say.field, say.text)
		if w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/shop?by=Ines" {
			t.Fatalf("%s: %d %s", say.text, w.Code, body(w))
		}
		if got := turns(b.sees("/shop?by=Ines", "Ines has it")); !slices.Contains(got, say.want) {
			t.Errorf("%s: %q", say.text, got)
		}
	}
	// One tap hands a neck to somebody who is known here, and never to who has it.
	b.sees("/shop", `value="handed to Tom">Hand to Tom`)
	b.post("/shop", "serial", "0413", "say", "handed to Tom")
	if page := b.sees("/shop", "Tom has it", `value="handed to Ines">Hand to Ines`); strings.Count(page, `value="handed to `) != 2 {
		t.Error("each of two necks can be handed to the other of two people")
	}
	b.refused(b.post("/shop", "serial", "0499", "say", "glued"), http.StatusNotFound, "0499")
	b.refused(b.post("/shop", "serial", "0412", "text", " "), http.StatusUnprocessableEntity, "Write what was done.")
	b.refused(b.post("/shop", "say", "glued"), http.StatusUnprocessableEntity, "serial")
}

func sameLines(a, b []string) bool {
	slices.Sort(a)
	slices.Sort(b)
	return slices.Equal(a, b)
}

// The list comes to a screen that shows another one, and what it says in all.
func TestShop_News(t *testing.T) {
	b := withShop(t)
	w := b.get("/shop/news?have=none")
	var got struct{ Sum, List, Goon, Count string }
	if err := json.Unmarshal([]byte(body(w)), &got); err != nil || w.Code != http.StatusOK {
		t.Fatal(w.Code, err)
	}
	if len(got.Sum) != 6 || len(turns(got.List)) != 1 || !strings.Contains(got.Goon, "Next: 0413") || got.Count != "1 neck in hand, 1 can be done now" {
		t.Errorf("%+v", got)
	}
}
