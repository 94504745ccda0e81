package bench

import (
	"encoding/binary"
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"testing"

	"ringtrue/internal/casetest"
)

func TestPlay_ReadPlannedPerfect(t *testing.T) {
	casetest.OneByOne(t)
	b := newTry(t, nil)
	path := b.readNeck()
	count := func(text, kind string) int { return strings.Count(text, `data-kind="`+kind+`"`) }
	read := b.sees(path+"/play", "Worst notes", "string 6, open", "note.wav?", `id="raise"`)
	perfect := b.sees(path + "/play?state=perfect")
	high := b.sees(path + "/play?raise=1.00")
	for name, text := range map[string]string{"read": read, "perfect": perfect, "high": high} {
		if n := count(text, "clear") + count(text, "grazes") + count(text, "buzzes") + count(text, "chokes"); n != 6*23 {
			t.Errorf("%s: %d notes", name, n)
		}
	}
	if !(count(read, "clear") < count(perfect, "clear") && count(read, "clear") < count(high, "clear")) {
		t.Errorf("clear notes: %d read, %d perfect, %d at 1 mm more", count(read, "clear"), count(perfect, "clear"), count(high, "clear"))
	}
	marks := func(text string) int { return strings.Count(text, ` doubt" data-kind="`) }
	if marks(read) == 0 || marks(perfect) != 0 || strings.Count(read, ", in doubt: ") != marks(read) || !strings.Contains(read, fmt.Sprintf("the readings leave %d in doubt", marks(read))) {
		t.Errorf("notes in doubt: %d read, %d on perfect crowns", marks(read), marks(perfect))
	}
	if !strings.Contains(read, " ± 0.0") || strings.Contains(perfect, "±") {
		t.Error("lowest actions have no ± as read, or one on perfect crowns")
	}
	b.sees(path+"/play?state=planned&string=3&fret=5", `string=3&amp;fret=5`)
	for query, words := range map[string]string{"": "as set up", "?raise=0": "as set up", "?raise=0.30": "&#43;0.30 mm", "?raise=-0.30": "\u22120.30 mm"} {
		b.sees(path+"/play"+query, ">"+words+"</output>", "over fret 12")
	}
	for _, bad := range []string{"state=x", "raise=2", "raise=NaN", "raise=x"} {
		if w := b.get(path + "/play?" + bad); w.Code != http.StatusUnprocessableEntity {
			t.Errorf("%s: %d", bad, w.Code)
		}
	}
}

// The slider's quick answer and the whole one speak of the same notes; what the
// quick one calls clear is clear.
func TestPlay_TryAction(t *testing.T) {
	casetest.OneByOne(t)
	b := newTry(t, nil)
	path := b.readNeck()
	get := func(query string) string {
		var got map[string]string
		w := b.get(path + "/play/try?" + query)
		if err := json.Unmarshal(w.Body.Bytes(), &got); w.Code != http.StatusOK || err != nil {
			t.Fatalf("%s: %d %v %s", query, w.Code, err, w.Body)
		}
		return got["notes"]
	}
	quick, whole := get("raise=0.30"), get("raise=0.30&whole=1")
	kinds := func(text string) []string {
		var out []string
		for _, part := range strings.Split(text, `data-kind="`)[1:] {
			kind, _, _ := strings.Cut(part, `"`)
			out = append(out, kind)
		}
		return out
	}
	q, w := kinds(quick), kinds(whole)
	if len(q) != 138 || len(w) != 138 {
		t.Fatalf("%d and %d notes", len(q), len(w))
	}
	for i := range q {
		if q[i] == "clear" && w[i] != "clear" {
			t.Errorf("note %d: quick says clear, the whole answer %s", i, w[i])
		}
	}
	if !strings.Contains(quick, "Quick answer") || strings.Contains(whole, "Quick answer") {
		t.Error("the quick answer does not say what it is")
	}
}

// A neck as it comes, without readings, is judged on perfect crowns; a string
// that lies on the frets is no reason to fail inside.
func TestPlay_WithoutReadings(t *testing.T) {
	b := newTry(t, nil)
	b.sees(b.open()+"/play", "taken as perfect")
	file := strings.Replace(string(example(t, "heron.toml")), `pitch = "E4"`, `pitch = "E0"`, 1)
	w := b.send("/necks", "x.toml", []byte(file), "from", "file")
	path := strings.TrimSuffix(w.Header().Get("Location"), "/pass")
	text := body(b.get(path + "/play"))
	if strings.Contains(text, "failed inside") {
		t.Error(text)
	}
}

func TestPlay_Note(t *testing.T) {
	b := newTry(t, nil)
	path := b.readNeck()
	w := b.get(path + "/note.wav?state=read&string=1&fret=5")
	data := w.Body.Bytes()
	if w.Code != http.StatusOK || w.Header().Get("Content-Type") != "audio/wav" || string(data[:4]) != "RIFF" || string(data[8:12]) != "WAVE" {
		t.Fatalf("%d %v", w.Code, w.Header())
	}
	if n := binary.LittleEndian.Uint32(data[4:]); int(n)+8 != len(data) {
		t.Errorf("the file says %d bytes of %d", n+8, len(data))
	}
	if planned := b.get(path + "/note.wav?state=planned&string=1&fret=5").Body.String(); planned == string(data) {
		t.Error("before and after sound the same")
	}
	for query, words := range map[string]string{"string=1": "Choose a string", "string=9&fret=1": "string 9", "string=1&fret=99": "fret 99", "string=1&fret=1&state=up": "read, planned or perfect"} {
		b.refused(b.get(path+"/note.wav?"+query), http.StatusUnprocessableEntity, words)
	}
}

// With one lane read the page never says that every note is clear: it counts what
// it judged and names the lanes to read.
func TestPlay_LanesNotRead(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	lane := ""
	for line := range strings.Lines(string(example(t, "heron-levelled.csv"))) {
		if !strings.HasPrefix(line, "beam,") || strings.HasPrefix(line, "beam,1,") {
			lane += line
		}
	}
	b.refused(b.send(path+"/files", "lane.csv", []byte(lane)), http.StatusSeeOther, "")
	said := b.sees(path+"/play?raise=0.5", "Of 23 notes judged, all are clear; 115 are not judged: read lanes 2 to 6.", "Strings 2 to 6: no crown in these lanes is known")
	if strings.Contains(said, "Every note is clear") || strings.Contains(said, "Not clear: ") {
		t.Error("speaks of every note with 115 not judged")
	}
	b.sees(path+"/setup"+measuredQuery("0.7", "2.4"), "115 are not judged: read lanes 2 to 6", "Strings 2 to 6 left out")
}
