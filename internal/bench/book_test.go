package bench

import (
	"net/http"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/book/sqlite"
)

// A neck read at the bench goes into the book with its files, once; and the
// book lends its neck file to the next one.
func TestBook_PutInAndStartFrom(t *testing.T) {
	store, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "book.db"), sqlite.Options{Create: true, Now: clock})
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	b := newTry(t, func(c *Config) { c.Book = store })
	path := b.open()
	if w := b.post(path+"/book", "serial", "0412"); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("a stage without readings: %d", w.Code)
	}
	b.send(path+"/files", "seated.csv", example(t, "heron-seated.csv"))
	for _, wrong := range [][]string{{"serial", "a/b"}, {"tags", "wire"}, {"strokes", "7: 40"}, {"strokes", "file 99: 40"}, {"minutes", "soon"}, {"minutes", "-3"}} {
		if w := b.post(path+"/book", wrong...); w.Code != http.StatusUnprocessableEntity {
			t.Errorf("%v: %d", wrong, w.Code)
		}
	}
	for range 2 {
		if w := b.post(path+"/book", "serial", "0412", "by", "Ines", "tags", "wire=lot7, press=2", "strokes", "file 7: 40; beam 1-22: 90, ink 5 19", "minutes", "95", "note", "first of the batch"); w.Code != http.StatusSeeOther {
			t.Fatalf("%d %s", w.Code, w.Body)
		}
	}
	records, err := store.Records(t.Context(), "0412")
	if err != nil || len(records) != 1 {
		t.Fatalf("%d records, %v", len(records), err)
	}
	r := records[0]
	if r.Stage != "seated" || r.Tags["wire"] != "lot7" || r.Tags["press"] != "2" || r.Tags["strokes"] != "file 7: 40; beam 1-22: 90, ink 5 19" || r.Tags["minutes"] != "95" || r.By != "Ines" || r.Derived.Verdict != "not level" {
		t.Errorf("%+v", r)
	}
	files, err := store.Files(t.Context(), r.Number)
	if err != nil || string(files.Readings.Bytes) != b.csv(path) || string(files.Neck.Bytes) != string(example(t, "heron.toml")) {
		t.Errorf("the files are others: %v", err)
	}
	if text := body(b.get(path + "/files")); strings.Count(text, "seated is record 1") != 1 {
		t.Error("the page does not say so once")
	}
	w := b.send("/necks", "", nil, "from", "book", "serial", "0412")
	if w.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	if neck := b.get(strings.TrimSuffix(w.Header().Get("Location"), "/pass") + "/neck.toml"); neck.Body.String() != string(example(t, "heron.toml")) {
		t.Error("not the book's neck file")
	}
	if w := b.send("/necks", "", nil, "from", "book", "serial", "9999"); w.Code != http.StatusNotFound {
		t.Errorf("a serial that is not there: %d", w.Code)
	}
}

// Where the machine's clock went back, the page says so, as the command does.
func TestBook_ClockBehind(t *testing.T) {
	now := clock()
	store, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "book.db"), sqlite.Options{Create: true, Now: func() time.Time { return now }})
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	b := newTry(t, func(c *Config) { c.Book = store })
	path := b.open()
	b.send(path+"/files", "seated.csv", example(t, "heron-seated.csv"))
	if w := b.post(path+"/book", "serial", "0412"); w.Code != http.StatusSeeOther {
		t.Fatalf("with the clock right: %d", w.Code)
	}
	now = now.Add(-72 * time.Hour)
	if w := b.post(path+"/stage", "number", "0", "word", "levelled"); w.Code != http.StatusSeeOther {
		t.Fatal(w.Code, w.Body)
	}
	b.send(path+"/files", "levelled.csv", example(t, "heron-seated.csv"))
	w := b.post(path+"/book", "serial", "0412")
	if text := body(w); w.Code != http.StatusOK || !strings.Contains(text, "clock is 3 days behind the last record of 0412") || !strings.Contains(text, "levelled is record 2") {
		t.Errorf("with the clock back: %d %s", w.Code, text)
	}
}

// A bench without a book reads on, and says so.
func TestBook_None(t *testing.T) {
	b := newTry(t, func(c *Config) { c.NoBook = "it is on holiday" })
	path := b.open()
	if w := b.post(path+"/book", "serial", "0412"); w.Code != http.StatusConflict {
		t.Errorf("%d", w.Code)
	}
	for _, p := range []string{"/", path + "/files"} {
		if !strings.Contains(body(b.get(p)), "it is on holiday") {
			t.Errorf("%s does not say why", p)
		}
	}
}

// Before the key is pressed the page says what a permanent record would lack, and
// after it that the stage is saved, as the page's first line.
func TestBook_SaysWhatIsEarly(t *testing.T) {
	store, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "book.db"), sqlite.Options{Create: true, Now: clock})
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	b := newTry(t, func(c *Config) { c.Book = store })
	whole := b.open()
	b.send(whole+"/files", "levelled.csv", example(t, "heron-levelled.csv"))
	if text := b.sees(whole + "/files"); strings.Contains(text, `id="early"`) || strings.Contains(text, `id="booked"`) {
		t.Error("warns of a neck that is read and judged")
	}
	path := b.open()
	var lane strings.Builder
	for line := range strings.Lines(string(example(t, "heron-levelled.csv"))) {
		if !strings.HasPrefix(line, "beam,") || strings.HasPrefix(line, "beam,1,") {
			lane.WriteString(line)
		}
	}
	b.send(path+"/files", "lane.csv", []byte(lane.String()))
	text := b.sees(path+"/files", "Only 22 of 132 crowns are known, and a record is permanent")
	if key := strings.Index(text, "Save to book"); strings.Index(text, `id="early"`) > key || key < 0 {
		t.Error("the warning comes after the key")
	}
	w := b.post(path+"/book", "serial", "0500")
	if w.Code != http.StatusSeeOther {
		t.Fatal(w.Code, body(w))
	}
	after := b.sees(w.Header().Get("Location"), "Saved in the book: seated is record 1.")
	if saved := strings.Index(after, `id="booked"`); saved < 0 || saved > strings.Index(after, "<h1") {
		t.Error("what was saved is not the page's first line")
	}
	if strings.Contains(b.sees(path+"/files?booked=7"), `id="booked"`) {
		t.Error("says that a record was saved which the neck has not")
	}
}

// A verdict in doubt, all crowns known, is said beside the key too.
func TestBook_SaysDoubt(t *testing.T) {
	store, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "book.db"), sqlite.Options{Create: true, Now: clock})
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	b := newTry(t, func(c *Config) { c.Book = store })
	model := strings.Replace(string(example(t, "heron.toml")), `zone = "0.03 mm"`, `zone = "0.02 mm"`, 1)
	w := b.send("/necks", "heron.toml", []byte(model), "from", "file", "serial", "0600")
	path := strings.TrimSuffix(w.Header().Get("Location"), "/pass")
	b.begin(path, "beam")
	b.send(path+"/files", "levelled.csv", example(t, "heron-levelled.csv"))
	b.sees(path+"/files", "The verdict is in doubt, and a record is permanent")
}
