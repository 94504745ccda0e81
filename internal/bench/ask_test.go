package bench

import (
	"fmt"
	"net/http"
	"os"
	"slices"
	"strings"
	"testing"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/casetest"
	"ringtrue/internal/reading"
)

// typed takes the seated neck's first readings, one of them as it was mistyped,
// and gives the screen after each.
func typed(t *testing.T, n int, wrong map[int]string, each func(k int, s *screen)) (b *try, path string, s *screen) {
	t.Helper()
	b = newTry(t, nil)
	path = b.open()
	s = b.screen(path)
	for k, r := range seated(t)[:n] {
		text := fmt.Sprintf("%.3f", r.Value)
		if w, ok := wrong[k]; ok {
			text = w
		}
		s.press("keep", text)
		if s.status != http.StatusOK {
			t.Fatalf("reading %d: %d %s", k, s.status, s.Said)
		}
		if each != nil {
			each(k, s)
		}
	}
	return b, path, s
}

// 3.72 typed for 0.372 in the first lane is asked of before the next reading is
// taken, and until it is answered; no other reading is. Of the first reading
// the second tells that one of both is wrong, and the third which.
func TestAsk_TenfoldInFirstLane(t *testing.T) {
	casetest.OneByOne(t)
	all := seated(t)
	for _, at := range []int{0, 1, 2, 5, 12} {
		ten := fmt.Sprintf("%.2f", 10*all[at].Value)
		where := fmt.Sprintf("fret %d, lane 1", at+1)
		_, _, _ = typed(t, 16, map[int]string{at: ten}, func(k int, s *screen) {
			ask := s.Parts["ask"]
			switch {
			case k < at || k == 0:
				if s.Alarm != "" || ask != "" {
					t.Errorf("at %d, reading %d: %q %q", at, k, s.Alarm, ask)
				}
			case k == 1:
				if !strings.Contains(string(s.Alarm), "one of them is wrong") || !strings.Contains(string(s.Alarm), "fret 1") || !strings.Contains(ask, `href`) {
					t.Errorf("at %d, reading 1: %q %q", at, s.Alarm, ask)
				}
			default:
				if !strings.Contains(ask, where+": "+strings.TrimRight(ten, "0")) && !strings.Contains(ask, where+": "+ten) || strings.Count(ask, "<li>") != 1 {
					t.Errorf("at %d, reading %d: %q", at, k, ask)
				}
				// The tone is for what is new: at once, or with the third reading.
				if raised := k == at || k == 2 && at == 0; (s.Alarm != "") != raised {
					t.Errorf("at %d, reading %d: alarm %q", at, k, s.Alarm)
				}
			}
		})
	}
}

// A second try that agrees is kept beside the first: both are in the file, and
// nothing is asked any more. One that does not takes its place.
func TestAsk_SecondTry(t *testing.T) {
	b, path, s := typed(t, 12, map[int]string{7: "0.802"}, nil)
	if !strings.Contains(s.Parts["ask"], "fret 8, lane 1: 0.802 mm, about 0.3") || !strings.Contains(s.Parts["meaning"], "Read again") {
		t.Fatalf("%q\n%s", s.Parts["ask"], s.Parts["meaning"])
	}
	before := b.csv(path)
	s.At = "8@1"
	s.press("keep", "0.806")
	if s.Alarm != "" || s.Parts["ask"] != "" || !strings.Contains(string(s.Said), "both count") {
		t.Errorf("%q %q %q", s.Said, s.Alarm, s.Parts["ask"])
	}
	text := b.csv(path)
	if !strings.Contains(text, "8,0.802") || !strings.Contains(text, "8,0.806") || strings.Count(text, "\n") != strings.Count(before, "\n")+1 {
		t.Errorf("both tries are not in the file:\n%s", text)
	}
	s.press("undo", "")
	if !strings.Contains(s.Parts["ask"], "0.802") || b.csv(path) != before {
		t.Errorf("taken back: %q\n%s", s.Parts["ask"], b.csv(path))
	}
	s.At = "8@1"
	s.replace("0.393")
	if s.Parts["ask"] != "" || strings.Contains(string(s.Said), "stand") || strings.Contains(b.csv(path), "0.802") {
		t.Errorf("%q %q", s.Said, s.Parts["ask"])
	}
	s.At = "8@1"
	s.replace("1.393") // wrong another way: it is asked of anew
	if !strings.Contains(string(s.Alarm), "1.393") {
		t.Errorf("%q", s.Alarm)
	}
	s.At = "8@1"
	s.replace("0.993")
	if !strings.Contains(string(s.Alarm), "0.993") || strings.Contains(b.csv(path), "1.393") {
		t.Errorf("%q", s.Alarm)
	}
}

// The button keeps it; Enter on the empty field does not, since a key may bounce. It
// stays kept when the bench starts again, and the meaning does not call it a misread
// for standing alone.
func TestAsk_Keep(t *testing.T) {
	b, path, s := typed(t, 12, map[int]string{7: "0.802"}, nil)
	late := b.screen(path)
	late.Seen = 3
	if late.press("keep", ""); !strings.Contains(string(late.Said), "Nothing typed") || late.Parts["ask"] == "" {
		t.Fatalf("a screen that has not seen the question answers it: %q", late.Said)
	}
	do := "stands 1 8@1"
	if !strings.Contains(s.Parts["ask"], `value="`+do+`"`) {
		t.Fatal(s.Parts["ask"])
	}
	at := s.At
	if s.press("keep", ""); !strings.Contains(string(s.Said), "Nothing typed. Answer the question") || s.Parts["ask"] == "" || s.At != at {
		t.Errorf("an empty Enter: %q, at %s", s.Said, s.At)
	}
	s.press(do, "")
	if s.status != http.StatusOK || s.At != at || !strings.Contains(string(s.Said), "Confirmed: 0.802 mm at fret 8, lane 1") || s.Parts["ask"] != "" {
		t.Errorf("%d at %s: %q %q", s.status, s.At, s.Said, s.Parts["ask"])
	}
	if s.press("keep", ""); !strings.Contains(string(s.Said), "Nothing typed") {
		t.Errorf("nothing is asked: %q", s.Said)
	}
	for _, r := range seated(t)[12:22] {
		if s.press("keep", fmt.Sprintf("%.3f", r.Value)); s.Parts["ask"] != "" || strings.Contains(string(s.Alarm), "lane 1 reads 0.802") {
			t.Errorf("asked again: %q", s.Parts["ask"])
		}
	}
	id := strings.TrimPrefix(path, "/necks/")
	copied := t.TempDir() // the bench holds its own
	if err := os.CopyFS(copied, os.DirFS(b.dir)); err != nil {
		t.Fatal(err)
	}
	f, _, err := draft.Open(copied, clock)
	if err != nil {
		t.Fatal(err)
	}
	k, err := f.Get(id)
	if err != nil {
		t.Fatal(err)
	}
	if open := b.asked(k); len(open) > 0 {
		t.Errorf("opened again: %+v", open)
	}
	if n := len(slices.DeleteFunc(workOf(k).readings, func(r reading.Reading) bool { return !r.Stands })); n != 1 {
		t.Errorf("plan, play and board see %d readings that stand", n)
	}
	k.Read(func(st *draft.State) {
		if e := st.Entry(1, "8@1"); e == nil || !e.Stands || e.Reading != "0.802" {
			t.Errorf("%+v", e)
		}
	})
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
}

// Without the script: the page after the reading says it, and so does every
// page until the button is pressed.
func TestAsk_WithoutScript(t *testing.T) {
	b, path, s := typed(t, 6, nil, nil)
	w := b.post(path+"/read", "pass", "1", "at", s.At, "seen", fmt.Sprint(s.Seen), "reading", "3,92")
	text := body(w)
	if w.Code != http.StatusOK || !strings.Contains(text, "Fret 7, lane 1 reads 3.92 mm where about 0.") || !strings.Contains(text, `value="stands 1 7@1"`) {
		t.Fatalf("%d %s", w.Code, text)
	}
	for range 2 {
		page := body(b.get(path))
		ask := strings.Index(page, `value="stands 1 7@1"`)
		if advice := strings.Index(page, `class="meaning"`); ask < 0 || advice < ask {
			t.Fatalf("the question stands at %d, the advice at %d", ask, advice)
		}
	}
	w = b.post(path+"/read", "pass", "1", "at", "8@1", "seen", fmt.Sprint(s.Seen+1), "reading", "", "do", "stands 1 7@1")
	if w.Code != http.StatusOK || !strings.Contains(body(w), "Confirmed: 3.92 mm at fret 7") || strings.Contains(body(b.get(path)), "stands 1 7@1") {
		t.Errorf("%d", w.Code)
	}
	for _, do := range []string{"stands 1 9@1", "stands 9 1@1", "stands 1 99@9"} {
		if w := b.post(path+"/read", "pass", "1", "at", "8@1", "seen", "99", "do", do); w.Code != http.StatusUnprocessableEntity {
			t.Errorf("%s: %d", do, w.Code)
		}
	}
	if w := b.post(path+"/read", "pass", "1", "at", "8@1", "seen", "99", "do", "stands"); w.Code != http.StatusBadRequest && w.Code != http.StatusUnprocessableEntity {
		t.Errorf("%d", w.Code)
	}
}

// A gauge that types faster than the page answers is asked of too.
func TestAsk_InAHurry(t *testing.T) {
	b, path, s := typed(t, 6, nil, nil)
	form := posted(path+"/read", "pass", "1", "at", s.At, "seen", fmt.Sprint(s.Seen), "reading", "3.92", "hurry", "yes")
	form.Header.Set("Accept", "application/json")
	if text := body(b.do(form)); !strings.Contains(text, `"alarm":"Fret 7, lane 1 reads 3.92 mm`) || !strings.Contains(text, "stands 1 7@1") {
		t.Error(text)
	}
}

// A gauge that was moved is one question, by the unit that it shows.
func TestAsk_GaugeMovedInInches(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	b.begin(path, "beam", "unit", "in")
	s := b.screen(path)
	alarms := 0
	for k, r := range seated(t)[:20] {
		v := r.Value / 25.4
		if k >= 11 {
			v += 0.02
		}
		s.press("keep", fmt.Sprintf("%.4fin", v))
		if s.Alarm != "" {
			alarms++
		}
	}
	if !strings.Contains(s.Parts["ask"], "from fret 12, lane 1 on: was the gauge moved?") || strings.Count(s.Parts["ask"], "<li>") != 1 || alarms != 2 {
		t.Errorf("%d alarms; %q", alarms, s.Parts["ask"])
	}
}
