package bench

import (
	"html"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/book/sqlite"
)

// lineOf is a neck's line in the book's list.
func lineOf(t *testing.T, page, serial string) string {
	t.Helper()
	from := strings.Index(page, "<strong>"+serial+"</strong>")
	if from < 0 {
		t.Fatalf("%s is not listed", serial)
	}
	from = strings.LastIndex(page[:from], "<li")
	line, _, _ := strings.Cut(page[from:], "</li>")
	return html.UnescapeString(line)
}

// bookJudged waits until every neck of the list is worked out.
func (b *try) bookJudged() {
	b.t.Helper()
	done := make(chan struct{})
	b.sees("/book") // asks for them
	b.judged.want(b.stopped, "last", func() { close(done) })
	<-done
}

// The book shows each neck's latest record from above, with the verdict that its page
// has and the next step, the newest first; stored crowns first, all once worked out.
func TestBook_ListSaysWhatIsThere(t *testing.T) {
	b := withBook(t)
	gate := make(chan struct{}) // nothing is worked out before it opens
	b.judged.want(b.stopped, "gate", func() { <-gate })
	page := b.sees("/book")
	for serial, verdict := range map[string]string{"0503": "Not level", "0412": "Not judged yet"} { // level may be as far as read only
		line := lineOf(t, page, serial)
		if !strings.Contains(line, ">"+verdict+"<") || !strings.Contains(line, "Working it out") || !strings.Contains(line, `class="read"`) || strings.Contains(line, `class="high"`) {
			t.Errorf("before: %s", line)
		}
	}
	close(gate)
	b.bookJudged()
	page = b.sees("/book", `data-wait="false"`)
	if line := lineOf(t, page, "0503"); !strings.Contains(line, "Not level<") || !strings.Contains(line, "Read again: fret 9, lane 4") || !strings.Contains(line, `class="high"`) {
		t.Error(line)
	}
	if line := lineOf(t, page, "0412"); !strings.Contains(line, ">Level<") || !strings.Contains(line, "See the notes") || strings.Contains(line, `class="high"`) || !strings.Contains(line, "132 of 132") {
		t.Error(line)
	}
}

// Necks are listed by their latest record, and found by serial, model, stage and tag.
func TestBook_NewestFirstAndFound(t *testing.T) {
	now := clock()
	store, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "book.db"), sqlite.Options{Create: true, Now: func() time.Time { now = now.Add(time.Hour); return now }})
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	b := newTry(t, func(c *Config) { c.Book = store })
	add := func(serial, stage, wire string) {
		data, err := os.ReadFile("../../examples/heron-levelled.csv")
		if err != nil {
			t.Fatal(err)
		}
		e := &book.Entry{Serial: serial, Stage: stage, Tags: book.Tags{"wire": wire}, Files: book.Files{
			Neck: book.File{Name: "heron.toml", Bytes: example(t, "heron.toml")}, Readings: book.File{Name: "r.csv", Bytes: data}}}
		if _, err := store.Add(t.Context(), e); err != nil {
			t.Fatal(err)
		}
	}
	add("C1", "seated", "lot6")
	add("A2", "seated", "lot7")
	add("B3", "seated", "lot7")
	add("A2", "levelled", "lot7")
	serials := func(page string) string {
		var all []string
		for _, m := range regexp.MustCompile(`<a class="neckrow"[^>]*>.*?<strong>([^<]+)</strong>`).FindAllStringSubmatch(page, -1) {
			all = append(all, m[1])
		}
		return strings.Join(all, " ")
	}
	for query, want := range map[string]string{"": "A2 B3 C1", "?find=a2": "A2", "?find=levelled": "A2", "?find=LOT7": "A2 B3", "?find=wire%3Dlot6": "C1", "?find=seated+lot7": "A2 B3", "?part=c1": "C1", "?find=none": "", "?from=2": "C1", "?from=9": "", "?from=-3": "A2 B3 C1"} {
		if got := serials(b.sees("/book" + query)); got != want {
			t.Errorf("%s: %q, want %q", query, got, want)
		}
	}
	add("C1", "levelled", "lot6") // what is kept of the book gives way
	if got := serials(b.sees("/book")); got != "C1 A2 B3" {
		t.Errorf("after a new record: %q", got)
	}
}

// A record whose files cannot be read says so, and is asked for once.
func TestBook_ListWithoutAnswer(t *testing.T) {
	b := withBook(t)
	e := &book.Entry{Serial: "0999", Stage: "seated", Files: book.Files{Neck: book.File{Name: "x.toml", Bytes: []byte("x = 1")}, Readings: book.File{Name: "r.csv", Bytes: []byte("r")}}}
	if _, err := b.cfg.Book.Add(t.Context(), e); err != nil {
		t.Fatal(err)
	}
	b.bookJudged()
	line := lineOf(t, b.sees("/book", `data-wait="false"`), "0999")
	if !strings.Contains(line, "No verdict") || !strings.Contains(line, "Open it to see why") || b.log.Len() > 0 {
		t.Errorf("%s; log %s", line, b.log)
	}
}
