package bench

import (
	"fmt"
	"net/http"
	"path/filepath"
	"strings"
	"testing"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/book/sqlite"
	"ringtrue/internal/casetest"
)

// withBook is a bench with a book of necks, some of another wire, the last
// seated ones off.
func withBook(t *testing.T, set ...func(*Config)) *try {
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
	add := func(serial, stage, readings string, named string) {
		file := strings.Replace(string(example(t, "heron.toml")), `name = "Heron 22"`, `name = "`+named+`"`, 1)
		e := &book.Entry{Serial: serial, Stage: stage, Tags: book.Tags{"wire": "lot" + serial[len(serial)-1:]},
			Files: book.Files{Neck: book.File{Name: "heron.toml", Bytes: []byte(file)}, Readings: book.File{Name: readings, Bytes: example(t, readings)}}}
		if err := answer.Judge("test").Prepare(t.Context(), e, 0); err != nil {
			t.Fatal(err)
		}
		if _, err := store.Add(t.Context(), e); err != nil {
			t.Fatal(err)
		}
	}
	add("0412", "seated", "heron-seated.csv", "Heron 22")
	add("0412", "levelled", "heron-levelled.csv", "Heron 22")
	for i := range 5 {
		add(fmt.Sprintf("050%d", i), "seated", "heron-seated.csv", "Heron 22")
	}
	add("x<script>", "seated", "heron-seated.csv", "<script>alert(1)</script>")
	return newTry(t, func(c *Config) {
		c.Book = store
		for _, s := range set {
			s(c)
		}
	})
}

func TestHistory_ListShowCompare(t *testing.T) {
	casetest.OneByOne(t)
	b := withBook(t)
	b.sees("/book", "0412", "0504", "seated, levelled", "&lt;script&gt;")
	if text := b.sees("/book?part=041", "0412"); strings.Contains(text, "0504") {
		t.Error("a serial that was not looked for")
	}
	b.sees("/book?part=nothing", "No such neck")
	b.sees("/book/neck?serial=0412", `data-record="1"`, `data-record="2"`, "Not level", "whole fret high", "What changed")
	b.sees("/book/neck?serial=0412&from=seated&to=levelled", `id="compared"`, "compare.svg?")
	b.sees("/book/neck?serial=0412", "Letter to the owner", `href="/book/letter.pdf?paper=letter&amp;serial=0412"`)
	for _, paper := range []string{"", "&paper=a4", "&paper=letter"} {
		if w := b.get("/book/letter.pdf?serial=0412" + paper); w.Code != http.StatusOK || !strings.HasPrefix(w.Body.String(), "%PDF-") {
			t.Errorf("a letter%s: %d", paper, w.Code)
		}
	}
	b.refused(b.get("/book/letter.pdf?serial=0412&paper=x"), http.StatusUnprocessableEntity, "paper")
	b.refused(b.get("/book/letter.pdf?serial=0413"), http.StatusNotFound, "0412")
	w := b.get("/book/compare.svg?serial=0412&from=seated&to=levelled")
	if w.Code != http.StatusOK || !strings.Contains(body(w), "<svg") {
		t.Error(w.Code)
	}
	if text := b.sees("/book/neck?serial=x%3Cscript%3E", "&lt;script&gt;"); strings.Contains(text, "<script>") {
		t.Error("a serial came through as it is")
	}
	b.refused(b.get("/book/neck?serial=0413"), http.StatusNotFound, "0412")
	b.refused(b.get("/book/neck?serial="), http.StatusNotFound, "")
	b.sees("/book/neck?serial=0412&from=seated&to=strung", "strung")
	b.sees("/book/neck?serial=0412&from=seated&to=seated", "one stage")
}

func TestDrift_FigureTagPattern(t *testing.T) {
	b := withBook(t)
	b.sees("/book/drift", "drift.svg?", "Centre", "necks")
	b.sees("/book/drift?of=height&fret=14", "drift.svg?")
	for _, of := range book.FigureNames() {
		if of == "tag:NAME" || of == "bend" || of == "height" {
			continue
		}
		if of == "cents" || of == "ring" { // of necks that were heard
			b.refused(b.get("/book/drift?of="+of), http.StatusNotFound, "keep it with ringtrue listen")
			continue
		}
		if w := b.get("/book/drift?of=" + of); w.Code != http.StatusOK {
			t.Errorf("%s: %d %s", of, w.Code, body(w))
		}
		if w := b.get("/book/drift.svg?of=" + of); w.Code != http.StatusOK || !strings.Contains(body(w), "<svg") {
			t.Errorf("%s: %d, no picture", of, w.Code)
		}
	}
	for query, words := range map[string]string{"of=%3Cscript%3E": "&lt;script&gt;", "of=height": "of which fret", "of=height&fret=x": "Not a fret", "by=press": "tag"} {
		b.refused(b.get("/book/drift?"+query), http.StatusUnprocessableEntity, words)
	}
	b.refused(b.get("/book/drift?stage=strung"), http.StatusNotFound, "strung")
}

// Where the book holds too little for a chart, the page says what is needed, what
// there is, and leads to what to do.
func TestDrift_TooFew(t *testing.T) {
	store, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "book.db"), sqlite.Options{Create: true, Now: clock})
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	b := newTry(t, func(c *Config) { c.Book = store })
	need, empty := "needs two necks or more", "No necks yet"
	b.sees("/book/drift", need, empty, `<a class="button main" href="/">`)

	path := b.readNeck()
	b.sees("/book/drift", `href="`+path+`/files">Heron 22 no. 0412, seated`)
	if w := b.post(path+"/book", "by", "Ines"); w.Code != http.StatusSeeOther {
		t.Fatal(w.Code, w.Body)
	}
	text := b.sees("/book/drift", need, "<li>seated: 1 neck</li>")
	if strings.Contains(text, empty) || strings.Contains(text, path+"/files") || strings.Contains(text, "drift.svg") {
		t.Errorf("one neck: %s", text)
	}
	b.refused(b.get("/book/drift?of=pattern"), http.StatusUnprocessableEntity, need)

	second := b.readNeck()
	if w := b.post(second+"/book", "serial", "0413"); w.Code != http.StatusSeeOther {
		t.Fatal(w.Code, w.Body)
	}
	if text := b.sees("/book/drift", "drift.svg?"); strings.Contains(text, need) {
		t.Errorf("two necks: %s", text)
	}
	b.refused(b.get("/book/drift?stage=strung"), http.StatusNotFound, `stage=seated">seated: 2 necks</a>`)
}

func TestHistory_WithoutBook(t *testing.T) {
	b := newTry(t, nil)
	b.sees("/book", "No book is open")
	for _, p := range []string{"/book/neck?serial=1", "/book/drift", "/book/drift.svg", "/book/compare.svg", "/book/letter.pdf"} {
		b.refused(b.get(p), http.StatusConflict, "No book is open")
	}
}
