package bench

import (
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"testing"
)

// Two screens on one pass: what each types in turn stays, since the news lead
// the other one on; and where both type before they hear of each other, the
// second is asked and nothing is lost.
func TestReplace_TwoScreensInTurn(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	both := []*screen{b.screen(path), b.screen(path)}
	for k := range 20 {
		s := both[k%2]
		s.hears()
		if s.press("keep", fmt.Sprintf("0.4%02d", k)); s.status != http.StatusOK || s.Keep {
			t.Fatalf("reading %d: %d %q", k, s.status, s.Said)
		}
	}
	text := b.csv(path)
	for k := range 20 {
		if want := fmt.Sprintf("beam,1,%d,0.4%02d,", k+1, k); !strings.Contains(text, want) {
			t.Errorf("lost: %s", want)
		}
	}
}

// The second is told what the first put there, and replaces it only by the same
// number and Enter again; another number is asked of anew.
func TestReplace_Clash(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	one, two := b.screen(path), b.screen(path)
	one.press("keep", "0.402")
	refused := func(text string) {
		t.Helper()
		two.press("keep", text)
		if !strings.Contains(string(two.Said), "again to replace 0.402 mm") || !two.Keep || two.At != "1@1" {
			t.Fatalf("%d %q at %s", two.status, two.Said, two.At)
		}
		if text := b.csv(path); !strings.Contains(text, "0.402") || strings.Count(text, "\n") != 2 {
			t.Fatal(text)
		}
	}
	if refused("0.999"); !strings.Contains(string(two.Said), "Another screen") {
		t.Error(two.Said)
	}
	two.hears()
	refused("0.999") // the news have asked nothing
	refused("0.998")
	if refused("0.999"); strings.Contains(string(two.Said), "Another screen") { // it is known by now
		t.Error(two.Said)
	}
	if two.press("keep", "0.999"); two.Keep || !strings.Contains(b.csv(path), "0.999") || two.At != "2@1" {
		t.Errorf("%d %q at %s", two.status, two.Said, two.At)
	}
	// What was asked of the first reading says nothing of the second.
	one.At = "1@1"
	one.press("keep", "0.5")
	two.At, two.Over = "1@1", one.Over
	two.press("keep", "0.6")
	if one.press("keep", "0.5"); one.Keep {
		t.Errorf("%d %q", one.status, one.Said)
	}
	if two.press("keep", "0.6"); !two.Keep {
		t.Errorf("%d %q", two.status, two.Said)
	}
	// The field emptied: the reading stays, the gauge goes on.
	if two.press("keep", ""); two.Keep || two.At != "2@1" || !strings.Contains(string(two.Said), "Unchanged: 0.5 mm") {
		t.Errorf("%d %q at %s", two.status, two.Said, two.At)
	}
}

// Also after the pass is complete, and where it is opened again.
func TestReplace_PassComplete(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	b.post(path+"/pass", "method", "beam", "unit", "mm", "from", "1", "to", "3", "every", "1", "lane", "1")
	s := b.screen(path)
	for _, text := range []string{"0.401", "0.402", "0.403"} {
		s.press("keep", text)
	}
	for _, s := range []*screen{s, b.screen(path)} {
		if s.press("keep", "0.45"); !s.Keep || !strings.Contains(string(s.Said), "again to replace 0.40") || s.Over == "" {
			t.Errorf("%d %q", s.status, s.Said)
		}
	}
	if text := b.csv(path); strings.Contains(text, "0.45") || strings.Count(text, "\n") != 4 {
		t.Error(text)
	}
}

// Without the script the form brings back what was asked.
func TestReplace_WithoutScript(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	b.screen(path).press("keep", "0.402")
	form := []string{"pass", "1", "at", "1@1", "seen", "9", "reading", "0,42"}
	w := b.post(path+"/read", form...)
	text := body(w)
	_, rest, ok := strings.Cut(text, `name="over" value="`)
	over, _, _ := strings.Cut(rest, `"`)
	if w.Code != http.StatusConflict || !ok || !strings.HasSuffix(over, " 0,42") || !strings.Contains(text, "again to replace 0.402 mm") {
		t.Fatalf("%d %q", w.Code, over)
	}
	if w := b.post(path+"/read", append(form, "over", over)...); w.Code != http.StatusSeeOther || !strings.Contains(b.csv(path), "0.42,") {
		t.Errorf("%d", w.Code)
	}
}

// A screen that follows shows where the other one reads, also where that one
// only goes to another crown.
func TestFollow(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	one, wall := b.screen(path), b.screen(path)
	follow := func(want string) {
		t.Helper()
		before := wall.Lead
		wall.ask(url.Values{"seen": {strconv.Itoa(wall.Seen)}, "known": {"999"}, "lead": {strconv.Itoa(wall.Lead)}, "pass": {"1"}, "at": {wall.At}, "follow": {"yes"}})
		if wall.At != want || wall.Lead <= before {
			t.Fatalf("follows to %s (%d after %d), not %s", wall.At, wall.Lead, before, want)
		}
	}
	one.press("keep", "0.402")
	follow("2@1")
	one.press("skip", "")
	follow("3@1")
	one.ask(url.Values{"seen": {"0"}, "pass": {"1"}, "at": {"7@4"}, "leads": {"yes"}})
	follow("7@4")
	one.press("keep", "0.398")
	follow("8@4")
}
