package bench

import (
	"bytes"
	"html"
	"net/http"
	"strings"
	"testing"
	"time"
)

// An empty bench offers the example by one tap; it is the neck and the readings of
// examples/, and leads to a page that says what they mean.
func TestExample_OneTap(t *testing.T) {
	if !bytes.Equal(exampleNeck, example(t, "heron.toml")) || !bytes.Equal(exampleReadings, example(t, "heron-seated.csv")) {
		t.Error("the example is not the one of examples/")
	}
	b := newTry(t, nil)
	b.times.Answer = time.Minute
	b.sees("/", `<button class="main">Try an example</button>`, `<details class="begin" open>`)
	w := b.send("/necks", "", nil, "from", "example")
	step := w.Header().Get("Location")
	path, _, _ := strings.Cut(step, "?")
	if w.Code != http.StatusSeeOther || !strings.HasPrefix(path, "/necks/") || strings.HasSuffix(path, "/pass") {
		t.Fatalf("%d %s", w.Code, path)
	}
	if row := b.rowOfNeck(path); !strings.Contains(html.UnescapeString(row), `href="`+step+`"`) || !strings.Contains(step, "at=9%404") {
		t.Errorf("it opens at %s, its row leads elsewhere: %s", step, row)
	}
	b.sees(path, "Not level", "example, seated", `id="reading"`)
	if again := b.send("/necks", "", nil, "from", "example").Header().Get("Location"); again != step || len(b.folder.All()) != 1 {
		t.Errorf("a second tap leads to %s, %d necks", again, len(b.folder.All()))
	}
	for _, p := range []string{"/plan", "/play", "/neck", "/files", "/pass", "/gauge"} {
		b.sees(path+p, "example, seated")
	}
	if row := b.rowOfNeck(path); !strings.Contains(row, ">example</span>") || !strings.Contains(row, "Remove the example") {
		t.Errorf("not marked: %s", row)
	}
	if w := b.post(path+"/away", "sure", "yes"); w.Code != http.StatusSeeOther || len(b.folder.All()) != 0 {
		t.Errorf("it stays: %d", w.Code)
	}
	b.sees("/", "Try an example")
}

// The book takes nothing of the example, and nothing asks for it; what was asked for
// on it is not what the bench remembers.
func TestExample_NotInTheBook(t *testing.T) {
	b := withBook(t)
	before, err := b.cfg.Book.Last(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	path, _, _ := strings.Cut(b.send("/necks", "", nil, "from", "example").Header().Get("Location"), "?")
	b.refused(b.post(path+"/book", "serial", "0999", "by", "Ines"), http.StatusConflict, "This is the example neck")
	if text := b.sees(path+"/files", "This is the example neck"); strings.Contains(text, `name="tags"`) || strings.Contains(text, "Save to book</button>") {
		t.Error("the page offers the book")
	}
	if after, err := b.cfg.Book.Last(t.Context()); err != nil || after != before {
		t.Errorf("record %d, %v", after, err)
	}
	for _, ready := range b.ready() {
		if strings.Contains(ready.Href, path) {
			t.Error("it is asked for")
		}
	}
	b.begin(path, "bridge")
	other := b.send("/necks", "heron.toml", example(t, "heron.toml"), "from", "file").Header().Get("Location")
	b.sees(other, "Begin: beam, all lanes, mm")
	b.refused(b.send("/necks", "", nil, "from", "examples"), http.StatusUnprocessableEntity, "Choose a neck file")
}
