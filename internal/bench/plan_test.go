package bench

import (
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"ringtrue/internal/book/booktest"
	"ringtrue/internal/casetest"
)

// readNeck is the example neck with its readings.
func (b *try) readNeck() string {
	b.t.Helper()
	path := b.open()
	if w := b.send(path+"/files", "readings.csv", example(b.t, "heron-seated.csv")); w.Code != http.StatusSeeOther {
		b.t.Fatalf("%d %s", w.Code, w.Body)
	}
	return path
}

// refittedNeck is the example neck once its frets were refitted: one still stands
// high.
func (b *try) refittedNeck() string {
	b.t.Helper()
	path := b.open()
	if w := b.send(path+"/files", "readings.csv", example(b.t, "heron-refitted.csv")); w.Code != http.StatusSeeOther {
		b.t.Fatalf("%d %s", w.Code, w.Body)
	}
	return path
}

func (b *try) sees(path string, words ...string) string {
	b.t.Helper()
	w := b.get(path)
	text := body(w)
	if w.Code != http.StatusOK {
		b.t.Fatalf("%s: %d %s", path, w.Code, text)
	}
	for _, word := range words {
		if !strings.Contains(text, word) {
			b.t.Errorf("%s does not say %q", path, word)
		}
	}
	return text
}

// refused checks that a request is turned down with a status, in words.
func (b *try) refused(w *httptest.ResponseRecorder, status int, words string) {
	b.t.Helper()
	text := body(w)
	if w.Code != status || !strings.Contains(text, words) {
		b.t.Errorf("%d, wanted %d with %q: %s", w.Code, status, words, text)
	}
}

func TestPlan_CardKeepsTicks(t *testing.T) {
	b := newTry(t, nil)
	path := b.refittedNeck()
	const card = "/plan?seated=19"
	text := b.sees(path+card, "Not level", `id="ticks"`, "the chance that the next reading says level is", "Filing to the limit itself", "0 done", `value="19" checked`,
		"Move by move", "File fret 19 alone", "never both")
	boxes := regexp.MustCompile(`name="box" value="([^"]+)"`).FindAllStringSubmatch(text, -1)
	if len(boxes) < 3 {
		t.Fatalf("%d boxes", len(boxes))
	}
	one, two := boxes[0][1], boxes[1][1]
	w := b.post(path+"/ticks", "box", one, "box", two, "on", one, "seated", "19")
	if w.Code != http.StatusSeeOther || !strings.HasSuffix(w.Header().Get("Location"), card+"#card") {
		t.Fatalf("%d %s %s", w.Code, w.Header().Get("Location"), w.Body)
	}
	text = b.sees(path+card, "1 done")
	if n := strings.Count(text, " checked></label>") + strings.Count(text, " checked><span"); n != 1 {
		t.Errorf("%d boxes are ticked", n)
	}
	// Another screen that ticks another box leaves this one.
	b.post(path+"/ticks", "box", two, "on", two)
	b.sees(path+card, "2 done")
	b.post(path+"/ticks", "box", one)
	b.sees(path+card, "1 done")

	for _, bad := range []string{"", "7", "7@1", "7@1:x", "7@1:0", "7@99:5", "99@1:5", "6-7-8@1:5", "7@1:999999", "../x:5"} {
		b.refused(b.post(path+"/ticks", "box", bad, "on", bad), http.StatusUnprocessableEntity, "box on the card")
	}
	b.refused(b.post(path+"/ticks"), http.StatusUnprocessableEntity, "box on the card")
}

// Frets to press come first and out of the card; a reading to take again keeps the
// file off.
func TestPlan_FirstAndNotYet(t *testing.T) {
	b := newTry(t, nil)
	path := b.readNeck()
	text := b.sees(path+"/plan", "treble end not seated", `id="plan-notyet"`, "Fret 9 in lane 4", "Fret 7 is seated: file it", "Fret 14 is seated: file it")
	if strings.Contains(text, `name="box"`) || strings.Contains(text, "Fret 19 sits") {
		t.Error("there are boxes to tick, or a low fret to file")
	}
	path = b.refittedNeck()
	text = b.sees(path+"/plan", "whole fret high", `id="plan-nothing"`, "Fret 19 is seated: file it")
	if strings.Contains(text, `name="box"`) {
		t.Error("a fret that is pressed first is on the card")
	}
	for _, odd := range []string{"99", "x", "-1", "7,,"} {
		b.sees(path+"/plan?seated="+odd, "whole fret high")
	}
}

func TestPlan_WithoutReadings(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	b.sees(path+"/plan", "No readings yet")
	b.refused(b.get(path+"/plan.pdf"), http.StatusConflict, "No readings yet")
}

// The paper is as large as it says, and its text can be read by a program.
func TestPlan_PDF(t *testing.T) {
	casetest.OneByOne(t)
	b := newTry(t, nil)
	path := b.refittedNeck()
	for paper, size := range map[string]string{"a4": "595.28 841.89", "letter": "612.00 792.00"} {
		w := b.get(path + "/plan.pdf?seated=19&paper=" + paper)
		data := w.Body.Bytes()
		if w.Code != http.StatusOK || w.Header().Get("Content-Type") != "application/pdf" || !strings.HasPrefix(string(data), "%PDF-") {
			t.Fatalf("%s: %d %s", paper, w.Code, w.Header())
		}
		if box := "/MediaBox [0 0 " + size + "]"; !strings.Contains(string(data), box) {
			t.Errorf("%s: no page of %s", paper, box)
		}
		tool, err := exec.LookPath("pdftotext")
		if err != nil {
			continue // the size is checked in any case
		}
		file := filepath.Join(t.TempDir(), "plan.pdf")
		if err := os.WriteFile(file, data, 0o600); err != nil {
			t.Fatal(err)
		}
		text, err := exec.Command(tool, "-layout", file, "-").Output()
		if err != nil || !strings.Contains(string(text), "take off") || !strings.Contains(string(text), "File fret 19 alone") || !strings.Contains(string(text), "0412") {
			t.Errorf("%s: %v\n%s", paper, err, text)
		}
	}
	b.refused(b.get(path+"/plan.pdf?paper=../etc"), http.StatusUnprocessableEntity, "a4 or letter")
}

// The first page says first what comes before any file: press or reseat, then read
// again; then what to file, or why nothing yet.
func TestPlan_PDFPressFirst(t *testing.T) {
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		booktest.Missing(t, "pdftotext (Debian package poppler-utils)")
	}
	b := newTry(t, nil)
	path := b.readNeck()
	file := filepath.Join(t.TempDir(), "plan.pdf")
	if err := os.WriteFile(file, b.get(path+"/plan.pdf").Body.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	data, err := exec.Command(tool, "-layout", "-l", "1", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	text, at := string(data), -1
	for _, words := range []string{"not level", "First\n", "Fret 14, whole fret high: press", "Fret 19, whole fret low: reseat", "Read fret 9, lane 4 again", "File nothing yet\n", "Read it again before filing"} {
		i := strings.Index(strings.ToLower(text), strings.ToLower(words))
		if i <= at {
			t.Errorf("%q stands at %d, after %d:\n%s", words, i, at, text)
		}
		at = i
	}
}

// A name that is HTML is shown as it was typed.
func TestPlan_EscapesNames(t *testing.T) {
	b := newTry(t, nil)
	file := strings.Replace(string(example(t, "heron.toml")), `name = "`, `name = "<script>alert(1)</script>`, 1)
	w := b.send("/necks", "x.toml", []byte(file), "from", "file", "serial", "7")
	path := strings.TrimSuffix(w.Header().Get("Location"), "/pass")
	if w.Code != http.StatusSeeOther {
		t.Fatal(w.Code, w.Body)
	}
	b.send(path+"/files", "r.csv", example(t, "heron-seated.csv"))
	for _, p := range []string{"/plan", "/play", "/neck", "/gauge", "/board"} {
		if text := b.sees(path+p, "&lt;script&gt;"); strings.Contains(text, "<script>") {
			t.Errorf("%s: the name came through as it is", p)
		}
	}
}

// Plan is no surer than the readings: level as far as they go is said so, on the page
// and on paper.
func TestPlan_LevelSoFar(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	var kept []string
	for line := range strings.Lines(string(example(t, "heron-levelled.csv"))) {
		if !strings.HasPrefix(line, "beam,") || line[5] == '3' || line[5] == '4' {
			kept = append(kept, line)
		}
	}
	if w := b.send(path+"/files", "readings.csv", []byte(strings.Join(kept, ""))); w.Code != http.StatusSeeOther {
		t.Fatal(w.Code, body(w))
	}
	b.sees(path+"/plan", `<p class="verdict in-doubt">Level so far</p>`)
}
