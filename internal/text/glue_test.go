package text

import (
	"strings"
	"testing"

	"ringtrue/internal/glue"
)

// A wait is rounded up, a time to its own digits.
func TestWaiting_roundsUp(t *testing.T) {
	for hours, want := range map[float64]string{24: "24 h", 1: "1 h", 24.2: "25 h", 2.01: "2.1 h", 76.2: "3.2 days", 0.5: "30 min", 0.501: "31 min", 48: "2 days", 0.001: "3.6 s"} {
		if got := waiting(hours); got != want {
			t.Errorf("%g h: %s, want %s", hours, got, want)
		}
	}
	for seconds, want := range map[float64]string{15: "15 s", 16.4: "16 s", 59.7: "60 s", 60: "1 min", 330: "5.5 min", 3600: "1 h", 3599: "60 min", 86400: "24 h", 2.34: "2.3 s"} {
		if got := lasting(seconds); got != want {
			t.Errorf("%g s: %s, want %s", seconds, got, want)
		}
	}
}

// What a test cannot say is said, with what to do; what it can has its numbers.
func TestGlueTest_verdicts(t *testing.T) {
	f := glue.Fit{Readings: 4, Times: 1, LastMin: 60}
	for verdict, want := range map[glue.Verdict]string{
		glue.NotEnough: "not enough readings: 4 at 1 time. Push out at least 6, at 4 times", glue.NoPlateau: "not surely, by 1 h", glue.NoStrength: "no fret took any force",
	} {
		f.Verdict = verdict
		if got := GlueTest(f); !strings.Contains(got, want) {
			t.Errorf("%s: %q", verdict, got)
		}
	}
	f = glue.Fit{Verdict: glue.Fitted, FullN: 301, HalfMin: 3, ScatterN: 12}
	if got := GlueTest(f); !strings.Contains(got, "301 N, half of it after 3 min") {
		t.Error(got)
	}
}

// Every kind of glue has a name, a caution of its own and an order of work that
// ends with polishing.
func TestGlue_everyKind(t *testing.T) {
	names := map[string]bool{}
	for _, k := range glue.Kinds() {
		names[GlueName(k)] = true
		do := GlueDo(k, glue.Outlook{WaitH: 24, Gaps: []glue.Gap{{Bridged: true}, {Bridged: true}}})
		if len(do) != 1 || !strings.Contains(do[0], "wait 24 h") || !strings.HasSuffix(do[0], "polish.") || len(GlueCautions(k)) != 3 {
			t.Errorf("%s: %q", k, do)
		}
	}
	if len(names) != len(glue.Kinds()) {
		t.Errorf("%v", names)
	}
}
