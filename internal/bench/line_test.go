package bench

import (
	"context"
	"errors"
	"fmt"
	"html"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/bench/serialgauge"
)

// withGauge is a bench with a gauge on a line, which the test plays.
func withGauge(t testing.TB) *try {
	t.Helper()
	p, err := serialgauge.NewPattern("")
	if err != nil {
		t.Fatal(err)
	}
	return newTry(t, func(c *Config) {
		c.Gauge = serialgauge.New("/dev/gauge", serialgauge.Speed{}, p)
		c.Times.Between, c.Times.Poll = time.Hour, time.Hour // however slow the machine is
	})
}

// sends has the gauge send a line.
func (b *try) sends(line string) {
	b.t.Helper()
	p, err := serialgauge.NewPattern("")
	if err != nil {
		b.t.Fatal(err)
	}
	e := serialgauge.Event{Kind: serialgauge.Read, Line: line}
	if e.Reading, err = p.Read(line); err != nil {
		e.Kind = serialgauge.Unfit
	}
	b.hear(context.Background(), e)
}

// reading is a page that waits for news, as the script of a bench with a gauge.
func (b *try) reading(path string) *screen {
	b.t.Helper()
	s := b.screen(path)
	s.line = b.line.view().Number
	s.asks(nil)
	return s
}

// asks asks for the news there are at once; more is asked besides.
func (s *screen) asks(more url.Values) {
	s.b.t.Helper()
	q := url.Values{"seen": {"0"}, "pass": {strconv.Itoa(s.Pass)}, "at": {s.At}, "screen": {s.name}, "lead": {strconv.Itoa(s.Lead)}, "gauge": {strconv.Itoa(s.line)}}
	for k, v := range more {
		q[k] = v
	}
	before := s.Seen
	s.ask(q)
	s.line = s.Gauge.Number
	if s.Seen < before {
		s.b.t.Fatalf("news of %d after %d", s.Seen, before)
	}
}

// hearsGauge takes the news that the gauge made.
func (s *screen) hearsGauge() {
	s.b.t.Helper()
	s.asks(url.Values{"seen": {strconv.Itoa(s.Seen)}, "known": {"9999"}})
}

func (s *screen) wants(at, said string) {
	s.b.t.Helper()
	if s.At != at || s.Gauge == nil || !strings.Contains(s.Gauge.Said, said) {
		s.b.t.Fatalf("at %s, %+v; want %s, %q", s.At, s.Gauge, at, said)
	}
}

// A reading is kept where the page that reads stands, in the pass's unit; the
// page goes on, and another one is told.
func TestLine_KeptWhereThePageStands(t *testing.T) {
	b := withGauge(t)
	path := b.open()
	one, two := b.reading(path), b.reading(path)
	one.asks(url.Values{"leads": {"yes"}}) // pressed
	b.sends("+0.371")
	one.hearsGauge()
	one.wants("2@1", "Saved 0.371 mm at fret 1, lane 1.")
	two.hearsGauge()
	two.wants("1@1", "Saved 0.371 mm at fret 1, lane 1.")
	b.sends("0.0146 in")
	one.hearsGauge()
	one.wants("3@1", "Saved 0.37084 mm at fret 2")
	one.asks(url.Values{"leads": {"yes"}, "at": {"7@4"}}) // a tap on a crown
	b.sends("0,402 mm")
	one.hearsGauge()
	one.wants("8@4", "Saved 0.402 mm at fret 7, lane 4.")
	two.asks(url.Values{"leads": {"yes"}, "at": {"12@2"}}) // now this one reads
	b.sends("0.403")
	two.hearsGauge()
	two.wants("13@2", "Saved 0.403 mm at fret 12, lane 2.")
	for _, row := range []string{"beam,1,1,0.371,mm", "beam,1,2,0.37084,mm", "beam,4,7,0.402,mm", "beam,2,12,0.403,mm"} {
		if text := b.csv(path); !strings.Contains(text, row) || strings.Count(text, "\n") != 5 {
			t.Errorf("no %s in\n%s", row, text)
		}
	}
}

// In a pass in inches a reading in mm is kept in inches.
func TestLine_PassInInches(t *testing.T) {
	b := withGauge(t)
	path := b.open()
	b.post(path+"/pass", "method", "beam", "unit", "in", "from", "1", "to", "3", "every", "1", "lane", "1")
	s := b.reading(path)
	b.sends("0.371 mm")
	b.sends("0.0146")
	if text := b.csv(path); !strings.Contains(text, ",0.014606,in") || !strings.Contains(text, ",0.0146,in") {
		t.Error(text)
	}
	s.hearsGauge()
	s.wants("3@1", "Saved 0.0146 in")
}

// What would replace another reading is asked; the same again replaces it,
// another number is asked of, and what was asked before it is named. An answer by
// hand ends the question.
func TestLine_Question(t *testing.T) {
	b := withGauge(t)
	path := b.open()
	s := b.reading(path)
	b.sends("0.371")
	s.hearsGauge()
	back := func() {
		t.Helper()
		s.At = "1@1"
		s.asks(url.Values{"leads": {"yes"}})
	}
	asked := func(typed, kept string) {
		t.Helper()
		b.sends(typed)
		s.hearsGauge()
		s.wants("1@1", "again to replace "+kept+" mm")
		if g := s.Gauge; g.Typed != typed || g.Over == "" || g.Pass != 1 || g.At != "1@1" {
			t.Fatalf("%+v", g)
		}
		if text := b.csv(path); !strings.Contains(text, "beam,1,1,"+kept+",") || strings.Count(text, "\n") != 2 {
			t.Fatal(text)
		}
	}
	back()
	asked("0.401", "0.371")
	asked("0.402", "0.371")
	asked("0.403", "0.371")
	s.wants("1@1", "Not saved before it: 0.401, 0.402.")
	b.sends("0.403")
	s.hearsGauge()
	s.wants("2@1", "Saved 0.403 mm at fret 1")
	back()
	asked("0.404", "0.403")
	back() // looked at again: the question is over
	asked("0.404", "0.403")
	s.press("keep", "") // nothing typed
	asked("0.404", "0.403")
	s.Over = words(s.Gauge.Over)
	if s.press("keep", "0.404"); s.Keep || !strings.Contains(b.csv(path), "beam,1,1,0.404,") { // Enter on the page
		t.Errorf("%q\n%s", s.Said, b.csv(path))
	}
}

// A misread is called as one that is typed.
func TestLine_Alarm(t *testing.T) {
	b := withGauge(t)
	path := b.open()
	s := b.reading(path)
	for _, line := range []string{"0.371", "0.372", "0.373", "0.374", "3.72"} {
		b.sends(line)
	}
	s.hearsGauge()
	if s.wants("6@1", "Saved 3.72"); !strings.Contains(s.Gauge.Alarm, "Read it again?") || !strings.Contains(s.alarmPart(), "Read it again?") {
		t.Errorf("%q, %q", s.Gauge.Alarm, s.alarmPart())
	}
	b.sends("0.376")
	if s.hearsGauge(); s.Gauge.Alarm != "" || !strings.Contains(s.alarmPart(), "Read it again?") {
		t.Errorf("%q, %q", s.Gauge.Alarm, s.alarmPart())
	}
}

// Without a page, on a page without a pass, where the line says nothing that
// fits: told on the page and in the terminal, and not kept.
func TestLine_NotSaved(t *testing.T) {
	b := withGauge(t)
	path := b.open()
	told := 0
	tells := func(words string) {
		t.Helper()
		told++
		text := body(b.get(path))
		if strings.Contains(text, "<script>") {
			t.Fatal("a line of the gauge is HTML")
		}
		text = html.UnescapeString(text)
		if !strings.Contains(text, words) || strings.Count(text, "<li data-n=") != min(told, maxUnsaved) {
			t.Errorf("the page does not tell %q", words)
		}
		if !strings.Contains(b.log.String(), words) {
			t.Errorf("the terminal does not tell %q: %s", words, b.log)
		}
		if w := b.get(path + "/readings.csv"); w.Code != http.StatusNotFound { // none at all
			t.Fatal(w.Body)
		}
	}
	b.sends("0.371 mm")
	tells("Not saved: “0.371 mm”. No reading page was open.")
	s := b.reading(path)
	b.sends("911")
	tells("Not saved: “911” does not match the gauge's pattern.")
	if s.hearsGauge(); !strings.Contains(s.Gauge.Alarm, "911") || s.At != "1@1" {
		t.Errorf("%+v", s.Gauge)
	}
	b.hear(t.Context(), serialgauge.Event{Kind: serialgauge.Unfit, Line: "0.3", Cut: true})
	tells("Not saved: “0.3” was cut off.")
	s.Pass, s.At = 0, ""
	s.asks(nil)
	b.sends("0.372")
	tells("Not saved: “0.372”. The page showed no pass.")
	b.sends("<script>")
	tells("Not saved: “<script>”")
}

// A page that was left is no page for reading; one that is loaded anew comes in
// time.
func TestLine_PageLeft(t *testing.T) {
	b := withGauge(t)
	path := b.open()
	s := b.reading(path)
	left := func() {
		ctx, leave := context.WithCancel(t.Context())
		leave()
		q := url.Values{"seen": {"0"}, "pass": {"1"}, "at": {s.At}, "screen": {s.name}, "gauge": {"0"}, "lead": {strconv.Itoa(s.Lead)}}
		b.do(httptest.NewRequest(http.MethodGet, path+"/state?"+q.Encode(), nil).WithContext(ctx))
	}
	b.times.Between = 0
	left()
	if b.sends("0.371"); !strings.Contains(body(b.get(path)), "No reading page was open.") {
		t.Error("a page that was left reads")
	}
	b.times.Between = time.Hour // a wait ends by the page that comes
	says := func() {
		if w := b.get(path + "/state?gone=yes&screen=" + s.name); w.Code != http.StatusNoContent {
			t.Errorf("%d", w.Code)
		}
	}
	for k, leaves := range []func(){left, says} {
		s.asks(nil)
		leaves()
		kept := make(chan bool)
		go func() {
			defer close(kept) // also where the reading fails the test
			b.sends(fmt.Sprintf("0.40%d", k))
		}()
		s.At = fmt.Sprintf("%d@1", 5+5*k)
		s.asks(nil)
		<-kept
		if text := b.csv(path); !strings.Contains(text, fmt.Sprintf("beam,1,%d,0.40%d,mm", 5+5*k, k)) || strings.Count(text, "\n") != 2+k {
			t.Error(text)
		}
	}
}

// An older wait does not take the gauge back to where the page stood before its
// last press, and a page on the wall is not read for while another reads.
func TestLine_WhichPlace(t *testing.T) {
	b := withGauge(t)
	path := b.open()
	s, wall := b.reading(path), b.reading(path)
	before := s.Lead
	s.press("keep", "0.401")
	wall.asks(url.Values{"follow": {"yes"}})
	seen := url.Values{"seen": {strconv.Itoa(s.Seen)}, "known": {"9999"}}
	s.asks(url.Values{"at": {"1@1"}, "lead": {strconv.Itoa(before)}, "seen": seen["seen"], "known": seen["known"]}) // answered at once
	s.At = "2@1"
	b.sends("0.402")
	if text := b.csv(path); !strings.Contains(text, "beam,1,2,0.402,mm") || strings.Count(text, "\n") != 3 {
		t.Error(text)
	}
	wall.hearsGauge()
	wall.asks(url.Values{"follow": {"yes"}, "seen": {strconv.Itoa(wall.Seen)}})
	if wall.At != "3@1" {
		t.Errorf("the wall shows %s", wall.At)
	}
	// Two taps whose answers crossed: where the page stands counts, once it has heard
	// of the second.
	before = s.Lead
	s.asks(url.Values{"leads": {"yes"}, "at": {"9@3"}})
	s.At, s.Lead = "8@3", before
	s.asks(seen)
	s.asks(nil)
	b.sends("0.403")
	if text := b.csv(path); !strings.Contains(text, "beam,3,8,0.403,mm") {
		t.Error(text)
	}
	s.asks(url.Values{"leads": {"yes"}, "at": {"3@1"}})
	// On another neck, which is read last.
	other := b.open()
	far := b.reading(other)
	far.press("keep", "0.501")
	b.sends("0.502")
	s.hearsGauge()
	s.wants("3@1", "The gauge reads for ")
	s.wants("3@1", "0.502")
	if text := b.csv(other); !strings.Contains(text, "beam,1,2,0.502,mm") {
		t.Error(text)
	}
}

// The port gone is told on every page until it is back.
func TestLine_Gone(t *testing.T) {
	b := withGauge(t)
	path := b.open()
	for words, err := range map[string]error{
		"The gauge is disconnected: /dev/gauge is not connected.":         serialgauge.ErrMissing,
		"The gauge is disconnected: another program has /dev/gauge.":      serialgauge.ErrBusy,
		"The gauge is disconnected: no permission to read /dev/gauge.":    serialgauge.ErrDenied,
		"The gauge is disconnected: /dev/gauge is not a serial port.":     serialgauge.ErrNoPort,
		"The gauge is disconnected: /dev/gauge: the wire burns &lt;b&gt;": errors.New("the wire burns <b>"),
	} {
		s := b.reading(path)
		b.hear(t.Context(), serialgauge.Event{Kind: serialgauge.Gone, Err: err})
		if s.hearsGauge(); !strings.Contains(s.Parts["gauge"], words) || !strings.Contains(body(b.get(path)), words) {
			t.Errorf("%q is not told: %s", words, s.Parts["gauge"])
		}
		b.hear(t.Context(), serialgauge.Event{Kind: serialgauge.Ready})
		if s.hearsGauge(); strings.Contains(s.Parts["gauge"], "gone") || !strings.Contains(s.Parts["gauge"], "Gauge at /dev/gauge: ready") {
			t.Error(s.Parts["gauge"])
		}
	}
	if !strings.Contains(b.log.String(), "The gauge is disconnected: /dev/gauge is not connected.") {
		t.Error(b.log)
	}
}

// 132 readings one after the other, while two screens ask for news all the time:
// each is at its crown.
func TestLine_NoneLost(t *testing.T) {
	b := withGauge(t)
	path := b.open()
	one, two := b.reading(path), b.reading(path)
	one.asks(url.Values{"leads": {"yes"}})
	done := make(chan bool)
	ended := make(chan string, 2)
	for _, s := range []*screen{one, two} {
		go func() {
			defer func() { ended <- s.At }() // also where an answer fails the test
			for {
				q := url.Values{"seen": {strconv.Itoa(s.Seen)}, "known": {"9999"}}
				if s == two && s.Open {
					q = url.Values{"open": {"yes"}}
				}
				select {
				case <-done:
					s.asks(nil)
					return
				default:
					s.asks(q)
				}
			}
		}()
	}
	for k := range 132 {
		b.sends(fmt.Sprintf("%+.3f", 0.3+float64(k)/1000))
	}
	b.hear(t.Context(), serialgauge.Event{Kind: serialgauge.Ready}) // ends the waits
	close(done)
	b.hear(t.Context(), serialgauge.Event{Kind: serialgauge.Ready})
	<-ended
	<-ended
	text := b.csv(path)
	for k := range 132 {
		if row := fmt.Sprintf("beam,%d,%d,%.3f,mm", 1+k/22, 1+k%22, 0.3+float64(k)/1000); !strings.Contains(text, row) {
			t.Errorf("no %s", row)
		}
	}
	if strings.Count(text, "\n") != 133 || regexp.MustCompile(`<li data-n`).MatchString(body(b.get(path))) {
		t.Errorf("%d rows", strings.Count(text, "\n"))
	}
}
