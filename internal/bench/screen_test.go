package bench

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"ringtrue/internal/reading"
)

// screen is a page that a maker reads with: where it is and what it has seen.
type screen struct {
	b    *try
	path string
	name string
	stateAnswer
	status int
	line   int // the number of the last thing that it heard of a gauge
}

func (b *try) screen(path string) *screen {
	s := &screen{b: b, path: path, name: fmt.Sprintf("s%d", b.screens)}
	b.screens++
	r := b.get(path + "/state")
	if err := json.Unmarshal(r.Body.Bytes(), &s.stateAnswer); err != nil {
		b.t.Fatal(err)
	}
	return s
}

// press sends what the script sends.
func (s *screen) press(do, text string) {
	s.b.t.Helper()
	r := posted(s.path+"/read", "do", do, "reading", text, "pass", strconv.Itoa(s.Pass), "at", s.At, "seen", strconv.Itoa(s.Seen), "over", string(s.Over), "screen", s.name)
	r.Header.Set("Accept", "application/json")
	w := s.b.do(r)
	s.status, s.stateAnswer = w.Code, stateAnswer{}
	if err := json.Unmarshal(w.Body.Bytes(), &s.stateAnswer); err != nil {
		s.b.t.Fatalf("%d %s", w.Code, w.Body)
	}
}

// replace types a reading over another: the page asks before it takes it.
func (s *screen) replace(text string) {
	s.b.t.Helper()
	if s.press("keep", text); !s.Keep || s.Over == "" {
		s.b.t.Fatalf("%s replaces another reading unasked: %d %q", text, s.status, s.Said)
	}
	s.press("keep", text)
}

// hears takes the news as the script does: where another screen has read the
// crown shown, it goes on.
func (s *screen) hears() {
	s.b.t.Helper()
	q := url.Values{"seen": {"0"}, "pass": {strconv.Itoa(s.Pass)}, "at": {s.At}}
	if s.Open {
		q.Set("open", "yes")
	}
	s.ask(q)
}

func (s *screen) ask(q url.Values) {
	s.b.t.Helper()
	s.stateAnswer = stateAnswer{}
	if err := json.Unmarshal(s.b.get(s.path+"/state?"+q.Encode()).Body.Bytes(), &s.stateAnswer); err != nil {
		s.b.t.Fatal(err)
	}
}

func (b *try) csv(path string) string {
	b.t.Helper()
	w := b.get(path + "/readings.csv")
	if w.Code != http.StatusOK {
		b.t.Fatalf("%d %s", w.Code, w.Body)
	}
	return w.Body.String()
}

// seated are the example's readings, in its order.
func seated(t testing.TB) []reading.Reading {
	t.Helper()
	s, err := reading.Parse("x", strings.NewReader(string(example(t, "heron-seated.csv"))), reading.Bounds{FirstFret: 1, LastFret: 22, Strings: 6})
	if err != nil {
		t.Fatal(err)
	}
	return s.Readings
}

// alarmPart is what stands to be answered above everything else.
func (s *screen) alarmPart() string {
	_, alarm, _ := strings.Cut(s.Parts["verdict"], `class="alarm"`)
	return alarm
}

// unmarked is a page's words without its marks.
func unmarked(page string) string { return regexp.MustCompile(`<[^>]*>`).ReplaceAllString(page, "") }
