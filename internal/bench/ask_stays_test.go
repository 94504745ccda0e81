package bench

import (
	"fmt"
	"strings"
	"testing"

	"ringtrue/internal/casetest"
)

// The alarm stays while the gauge goes on, on every screen and on the plan's
// page before any advice, until it is answered.
func TestAskStays_UntilAnswered(t *testing.T) {
	const words = "Fret 3, lane 1 reads 3.72 mm where about 0."
	b, path, s := typed(t, 12, map[int]string{2: "3.72"}, func(k int, s *screen) {
		if has := strings.Contains(s.alarmPart(), words); has != (k >= 2) {
			t.Errorf("reading %d: %q", k, s.alarmPart())
		}
	})
	if !strings.Contains(b.screen(path).alarmPart(), words) {
		t.Error("another screen is not told")
	}
	for _, page := range []string{path, path + "/plan"} {
		text := body(b.get(page))
		alarm := strings.Index(text, words)
		if advice := strings.Index(text, `class="advice"`); alarm < 0 || advice >= 0 && advice < alarm {
			t.Errorf("%s: the alarm is at %d, advice at %d", page, alarm, advice)
		}
	}
	s.press("skip", "")
	if !strings.Contains(s.alarmPart(), words) {
		t.Errorf("a step took it away: %q", s.alarmPart())
	}
	s.At = "3@1"
	if s.replace("0.372"); strings.TrimSpace(s.alarmPart()) != "" {
		t.Errorf("answered: %q", s.alarmPart())
	}
}

// A misread too small for a question, found out by all readings together, stays
// told too. A second try that agrees keeps both; the button keeps the one.
func TestAskStays_FoundByAll(t *testing.T) {
	casetest.OneByOne(t)
	wrong := fmt.Sprintf("%.3f", seated(t)[50].Value+0.07)
	for _, again := range []bool{true, false} {
		_, _, s := typed(t, 54, map[int]string{50: wrong}, func(k int, s *screen) {
			if has := strings.Contains(s.alarmPart(), "Fret 7, lane 3 reads 0.59 mm"); has != (k >= 50) {
				t.Errorf("reading %d: %q", k, s.alarmPart())
			}
		})
		if s.Parts["ask"] != "" || !strings.Contains(s.alarmPart(), `value="stands 1 7@3"`) {
			t.Fatalf("%q %q", s.Parts["ask"], s.alarmPart())
		}
		if again {
			s.At = "7@3"
			if s.press("keep", "0.592"); s.Keep || !strings.Contains(string(s.Said), "both count") {
				t.Errorf("%q", s.Said)
			}
		} else {
			s.press("stands 1 7@3", "")
		}
		if strings.TrimSpace(s.alarmPart()) != "" {
			t.Errorf("answered: %q", s.alarmPart())
		}
	}
}
