package bench

import (
	"encoding/json"
	"fmt"
	"html"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"testing"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/casetest"
	"ringtrue/internal/reading"
	"ringtrue/internal/text"
)

// A gauge that types its number and Enter goes over the whole neck: each reading
// lands on its crown, the misread at fret 9 is told while the gauge is there,
// and taken again it is told no more.
func TestRead_WholeNeckAsAGaugeTypes(t *testing.T) {
	casetest.OneByOne(t)
	if testing.Short() {
		t.Skip("132 answers are long under the race detector; TestRead_Steps reads a few")
	}
	b := newTry(t, nil)
	path := b.open()
	s := b.screen(path)
	alarms := map[string]string{}
	all := seated(t)
	for _, r := range all {
		want := string(draft.NewSite(r.Lane, r.Frets...))
		if s.At != want {
			t.Fatalf("the page leads to %s, not to %s", s.At, want)
		}
		s.press("keep", fmt.Sprintf("+%.3f", r.Value))
		if s.status != http.StatusOK {
			t.Fatalf("%s: %d %s", want, s.status, s.Said)
		}
		if s.Alarm != "" {
			alarms[want] = string(s.Alarm)
		}
	}
	if len(alarms) != 1 || !strings.Contains(alarms["9@4"], "0.472") {
		t.Errorf("alarms %v", alarms)
	}
	if !strings.Contains(string(s.Said), "complete") {
		t.Errorf("at the end: %q", s.Said)
	}
	m := s.Parts["verdict"] + s.Parts["meaning"]
	for _, want := range []string{"Not level", "132 of 132", "Read again", "fret 9, lane 4", "Fret 7", "treble end not seated"} {
		if !strings.Contains(m, want) {
			t.Errorf("the meaning lacks %q", want)
		}
	}
	if n := strings.Count(s.Parts["picture"], `data-site=`); n != 132 {
		t.Errorf("%d crowns are drawn", n)
	}
	s.At = "9@4"
	s.replace("0.372")
	if s.Alarm != "" || strings.Contains(s.Parts["meaning"], "Read again") {
		t.Errorf("after the retake: %q", s.Alarm)
	}
	got, err := reading.Parse("x", strings.NewReader(b.csv(path)), reading.Bounds{FirstFret: 1, LastFret: 22, Strings: 6})
	if err != nil || len(got.Readings) != 132 {
		t.Fatalf("%d readings: %v", len(got.Readings), err)
	}
	for i, r := range seated(t) {
		g := got.Readings[i]
		want := r.Value
		if r.Frets[0] == 9 && r.Lane == 4 {
			want = 0.372
		}
		if g.Lane != r.Lane || g.Frets[0] != r.Frets[0] || g.Value != want {
			t.Errorf("%+v, want %+v", g, r)
		}
	}
}

// What is typed and what is kept of it.
func TestRead_Typed(t *testing.T) {
	cases := []struct {
		method, typed string
		kept          string // a row of the file; empty: nothing is kept
		status        int
	}{
		{"beam", "0.442", "0.442,mm", 200},
		{"beam", "0,442", "0.442,mm", 200},
		{"beam", " +0,442 mm ", "0.442,mm", 200},
		{"beam", "-0.010", "-0.010,mm", 200},
		{"beam", "−0,010", "-0.010,mm", 200},
		{"beam", ".5", "0.5,mm", 200},
		{"beam", "0.0174in", "0.0174,in", 200},
		{"beam", `0.0174"`, "0.0174,in", 200},
		{"beam", "", "", 200}, // Enter on an empty field: a foot switch pressed twice
		{"beam", "   ", "", 200},
		{"beam", "abc", "", 422},
		{"beam", "1.234,5", "", 422},
		{"beam", "0.4 0.5", "", 422},
		{"beam", "500", "", 422},
		{"beam", "rocks", "", 422},
		{"beam", "NaN", "", 422},
		{"beam", "0x1p-2", "", 422},
		{"edge", "0,05 0,06", "0.05,mm,1,0.06", 200},
		{"edge", "0.05/0.06", "0.05,mm,1,0.06", 200},
		{"edge", "0.06 0.05", "", 422},
		{"edge", "-0.05", "", 422},
		{"rocker", "rocks", "rocks,mm", 200},
		{"rocker", "S", "still,mm", 200},
		{"rocker", "0.04", "0.04,mm", 200},
		{"bridge", "-0,046", "-0.046,mm", 200},
		{"height", "1.21", "1.21,mm", 200},
		{"height", "0", "", 422},
	}
	b := newTry(t, nil)
	for _, c := range cases {
		t.Run(c.method+" "+c.typed, func(t *testing.T) {
			b.t = t
			path := b.open()
			b.begin(path, c.method)
			s := b.screen(path)
			before := s.At
			s.press("keep", c.typed)
			if s.status != c.status || s.Said == "" {
				t.Errorf("%d %q", s.status, s.Said)
			}
			if c.kept == "" {
				if w := b.get(path + "/readings.csv"); w.Code != http.StatusNotFound {
					t.Errorf("kept: %s", w.Body)
				}
				if s.At != before || c.status == 422 && !s.Keep {
					t.Errorf("moved on to %s", s.At)
				}
				return
			}
			if text := strings.Replace(b.csv(path), ",2,", ",1,", 1); !strings.Contains(text, ","+c.kept) {
				t.Errorf("%q is not in\n%s", c.kept, text)
			}
			if s.At == before {
				t.Error("did not move on")
			}
		})
	}
}

// Back, skip, undo, misread, and a crown that was skipped comes at the end.
func TestRead_Steps(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	b.post(path+"/pass", "method", "beam", "unit", "mm", "from", "1", "to", "9", "every", "1", "lane", "1", "lane", "2")
	s := b.screen(path)
	step := func(do, text, at string) {
		t.Helper()
		if s.press(do, text); s.At != at || s.status != http.StatusOK {
			t.Fatalf("%s %s: at %s, %d %q; want %s", do, text, s.At, s.status, s.Said, at)
		}
	}
	step("keep", "0.402", "2@1")
	step("skip", "", "3@1")
	step("keep", "0.394", "4@1")
	step("back", "", "3@1")
	step("misread", "", "3@1")
	if !strings.Contains(s.Parts["where"], "was marked as misread") {
		t.Error(s.Parts["where"])
	}
	if text := b.csv(path); strings.Contains(text, "0.394") {
		t.Error("a misread is in the file")
	}
	step("undo", "", "3@1")
	step("undo", "", "3@1")
	step("undo", "", "1@1")
	if w := b.get(path + "/readings.csv"); w.Code != http.StatusNotFound {
		t.Error("not all was taken back")
	}
	for fret := 1; fret <= 9; fret++ {
		if fret == 2 {
			step("skip", "", "3@1")
			continue
		}
		s.press("keep", "0.4")
	}
	if s.At != "1@2" {
		t.Fatalf("after the lane: %s", s.At)
	}
	for range 9 {
		s.press("keep", "0.4")
	}
	if s.At != "2@1" {
		t.Errorf("the crown that was skipped is not asked for: %s", s.At)
	}
}

// Three frets at a time, in both orders.
func TestRead_OrdersOfABridge(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	b.begin(path, "bridge", "order", "across")
	s := b.screen(path)
	var went []string
	for range 8 {
		went = append(went, s.At)
		s.press("keep", "0.01")
	}
	if got := strings.Join(went, " "); got != "1-2-3@1 1-2-3@2 1-2-3@3 1-2-3@4 1-2-3@5 1-2-3@6 2-3-4@1 2-3-4@2" {
		t.Error(got)
	}
}

// A gauge that types faster than the neck is worked out: each reading is kept
// before it is answered, and the meaning follows.
func TestRead_InAHurry(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	s := b.screen(path)
	for _, r := range seated(t)[:22] {
		form := posted(path+"/read", "pass", "1", "at", s.At, "seen", strconv.Itoa(s.Seen), "reading", fmt.Sprint(r.Value), "hurry", "yes")
		form.Header.Set("Accept", "application/json")
		w := b.do(form)
		s.stateAnswer = stateAnswer{}
		if err := json.Unmarshal(w.Body.Bytes(), &s.stateAnswer); err != nil || w.Code != http.StatusOK {
			t.Fatal(w.Code, err)
		}
		if _, sent := s.Parts["picture"]; sent {
			t.Fatal("the picture was sent to a screen in a hurry")
		}
	}
	if n := strings.Count(b.csv(path), "\n"); n != 23 {
		t.Errorf("%d lines", n)
	}
	news := b.get(fmt.Sprintf("%s/state?seen=%d&known=%d", path, s.Seen, s.Known))
	if err := json.Unmarshal(news.Body.Bytes(), &s.stateAnswer); err != nil || s.Known != s.Seen || !strings.Contains(s.Parts["meaning"], "22 of 132") {
		t.Errorf("%v: known %d of %d: %s", err, s.Known, s.Seen, s.Parts["meaning"])
	}
}

// Without the script: forms, redirects, and the same words.
func TestRead_WithoutScript(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	w := b.post(path+"/read", "pass", "1", "at", "1@1", "seen", "2", "reading", "0,402")
	if loc := w.Header().Get("Location"); w.Code != http.StatusSeeOther || loc != path+"?at=2%401&pass=1" {
		t.Fatalf("%d %s", w.Code, loc)
	}
	text := unmarked(body(b.get(w.Header().Get("Location"))))
	if !strings.Contains(text, "Fret\u00a02 · lane\u00a01") || !strings.Contains(text, "0.402 mm at fret 1, lane 1") {
		t.Error("the next crown is not shown")
	}
	w = b.post(path+"/read", "pass", "1", "at", "2@1", "seen", "3", "reading", "o.4")
	if text := body(w); w.Code != http.StatusUnprocessableEntity || !strings.Contains(text, `value="o.4"`) || !strings.Contains(text, " number; write ") {
		t.Errorf("%d", w.Code)
	}
}

// File, read again: the second stage is held against the first one's plan.
func TestRead_NextStage(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	if w := b.send(path+"/files", "seated.csv", example(t, "heron-seated.csv")); w.Code != http.StatusSeeOther {
		t.Fatal(w.Code)
	}
	if w := b.post(path+"/stage", "word", "levelled", "number", "0"); w.Code != http.StatusSeeOther {
		t.Fatal(w.Code)
	}
	if w := b.post(path+"/stage", "word", "levelled", "number", "0"); w.Code != http.StatusConflict {
		t.Errorf("the stage ended twice: %d", w.Code)
	}
	b.post(path+"/pass", "method", "beam", "unit", "mm", "from", "1", "to", "7", "every", "1", "lane", "1")
	s := b.screen(path)
	for range 7 {
		s.press("keep", "0.4")
	}
	if !strings.Contains(s.Parts["meaning"], "7 of 132") {
		t.Error(s.Parts["meaning"])
	}
	id := strings.TrimPrefix(path, "/necks/")
	k, err := b.folder.Get(id)
	if err != nil {
		t.Fatal(err)
	}
	if n := b.analyst.latest(k); n == nil || n.frets == nil || n.frets.After == nil || len(n.frets.After.Lanes) == 0 {
		t.Error("the plan of the stage before is not held against it")
	}
	first := b.get(path + "/readings.csv?stage=0").Body.String()
	if strings.Count(first, "\n") != 133 || b.csv(path) == first {
		t.Error("the stages are mixed")
	}
}

// The picture shows readings of all passes and files: the count says which are
// this pass's.
func TestRead_CountTellsPassFromFile(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	b.sees(path, "0 of 132 read")
	b.screen(path).press("keep", "0.402")
	b.sees(path, "1 of 132 read<")
	b.begin(path, "beam")
	b.sees(path, "0 of 132 read, 1 in other passes")
	b.send(path+"/files", "readings.csv", example(t, "heron-seated.csv"))
	b.sees(path, "0 of 132 read, 1 in other passes, 132 by file")
	b.screen(path).press("keep", "0.401")
	b.sees(path+"?pass=1", "1 of 132 read, 1 in other passes, 132 by file")

	path = b.readNeck()
	b.sees(path, "0 of 132 read, 132 by file")
}

// Every gauge that the bench leads has its place in words, its keys, and what is
// typed comes out as a row of its own.
func TestRead_EveryGaugeThatIsLed(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	for k, m := range reading.Led() {
		spec, said := m.Spec(), text.OfMethod(m)
		b.begin(path, string(m))
		at := map[int]string{1: "1", 3: "1-2-3"}[spec.Frets]
		page := html.UnescapeString(b.sees(fmt.Sprintf("%s?pass=%d", path, k+2), said.Stands(at), said.Name))
		for key, has := range map[string]bool{`value="rocks"`: spec.Rocks, "data-sign": spec.Signed(), b.renderer.words.Say("read.gap"): spec.Gap} {
			if strings.Contains(page, key) != has {
				t.Errorf("%s: %s, want %t", m, key, has)
			}
		}
		b.screen(path).press("keep", "0.12")
		if row := fmt.Sprintf("\n%s,1,%s,0.12,mm,", m, at); !strings.Contains(b.csv(path), row) {
			t.Errorf("%s: no row %q in\n%s", m, row, b.csv(path))
		}
	}
}

// By two fields and a button every crown of a pass is reached, whatever the gauge.
func TestRead_GoToEachCrown(t *testing.T) {
	casetest.OneByOne(t)
	b := newTry(t, nil)
	path := b.open()
	b.begin(path, "bridge")
	for pass, frets := range map[int][2]int{1: {1, 22}, 2: {2, 21}} {
		form := body(b.get(fmt.Sprintf("%s?pass=%d", path, pass)))
		form = form[strings.Index(form, `id="goform"`):]
		form = form[:strings.Index(form, "</form>")]
		if n := strings.Count(form, "<option"); n != frets[1]-frets[0]+1+6 {
			t.Errorf("pass %d: %d frets and lanes to choose", pass, n)
		}
		for fret := frets[0]; fret <= frets[1]; fret++ {
			for lane := 1; lane <= 6; lane++ {
				want := fmt.Sprintf("Fret\u00a0%d · lane\u00a0%d\n", fret, lane)
				if !strings.Contains(unmarked(body(b.get(fmt.Sprintf("%s?pass=%d&fret=%d&lane=%d", path, pass, fret, lane)))), want) {
					t.Errorf("pass %d does not lead to %s", pass, want)
				}
			}
		}
	}
	if start := "Fret\u00a02 · lane\u00a01\n"; !strings.Contains(unmarked(body(b.get(path+"?pass=2&fret=1&lane=1"))), start) {
		t.Errorf("not led to the pass's start, %s, where a bridge does not stand", start)
	}
}

func TestCursor_AnyQuery(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	for _, q := range []string{"pass=9", "pass=-1", "pass=1&fret=x&lane=9", "pass=1&fret=7-8&lane=1", "fret=-1&lane=", "pass=x", "at=99@9", "at=%00", "pass=1&at=1-2-3@1", "pass=1&at=" + url.QueryEscape(strings.Repeat("1-", 5000))} {
		if w := b.get(path + "?" + q); w.Code != http.StatusOK {
			t.Errorf("%s: %d", q, w.Code)
		}
	}
}
