package answer

import (
	"context"
	"flag"
	"math"
	"strconv"
	"strings"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/play"
	"ringtrue/internal/trial"
)

// doubtNecks is how many necks of a class are tried, doubtClasses which further
// classes are tried and printed; docs/trust.md says how its figures were made.
var (
	doubtNecks   = flag.Int("doubt-necks", 14, "necks of a class that play's doubt is tried on")
	doubtClasses = flag.String("doubt-classes", "", "classes to print the score of, with passes: new:2,played:1")
)

// firstSeed is past the necks that the constants of package likely were chosen on.
const firstSeed = 5001

// doubtScore is how play's doubt fares on necks whose truth is known.
type doubtScore struct {
	lanes         int
	asRead, off   float64 // mean error of the lowest clear action, mm
	held          int     // lanes within 1.96 u
	notes, margin int     // notes, and those whose margin is within 1.96 u
	sure, wrong   int     // verdicts not in doubt, and those of them that are wrong
	doubted       int
}

// tryDoubt plays necks of a class as one pass of a gauge of 5 µm shows them, and as
// they truly are.
func tryDoubt(t *testing.T, class string, passes int) (s doubtScore) {
	t.Helper()
	c, err := trial.ClassOf(class)
	if err != nil {
		t.Fatal(err)
	}
	var low []float64 // each string set to just what perfect crowns allow
	for seed := range *doubtNecks {
		n, err := c.Draw(uint64(seed+firstSeed), trial.Options{Passes: passes, UMM: 0.005})
		if err != nil {
			t.Fatal(err)
		}
		r := PlayRequest{Model: n.Model, Layout: n.Layout, Readings: n.Readings, Read: true}
		if low == nil {
			for _, s := range mustPlay(t, PlayRequest{Model: n.Model, Layout: n.Layout}).Strings {
				low = append(low, casetest.Value(s.LowestClearActionMM)+0.02)
			}
		}
		r.Model.Setup.Action = low
		a := mustPlay(t, r.Under(n.Model.Setup.JudgeBy))
		for k, lane := range a.strung.Cases {
			truth, err := n.Truth.Lane(lane.Lane.String - 1)
			if err != nil {
				t.Fatal(err)
			}
			if len(lane.Lane.Missing) > 0 {
				continue
			}
			s.add(t, a, k, truth.Off)
		}
	}
	s.asRead, s.off = s.asRead/float64(s.lanes), s.off/float64(s.lanes)
	return s
}

// add adds one string, its crowns truly standing off by so much.
func (s *doubtScore) add(t *testing.T, a *PlayAnswer, k int, offMM []float64) {
	t.Helper()
	c, own := a.strung.Cases[k], a.strung.Judged[k].Own
	said := a.Strings[c.Lane.String-1]
	c.Lane = c.Lane.Standing(offMM)
	low, err := play.LowestAction(c.Lane, c.Setup, own)
	if err != nil {
		t.Fatal(err)
	}
	s.lanes++
	s.asRead += casetest.Value(said.LowestClearActionMM) - low
	off := casetest.Value(said.ExpectedLowestClearActionMM) - low
	s.off += off
	if math.Abs(off) <= 1.96*casetest.Value(said.ULowestClearActionMM) {
		s.held++
	}
	judged, err := play.Judge(context.Background(), []play.Case{c})
	if err != nil {
		t.Fatal(err)
	}
	for i, notes := range judged[0].Notes {
		note := said.Notes[i]
		if !note.MarginMM.Known() {
			continue
		}
		s.notes++
		if math.Abs(casetest.Value(note.MarginMM)-casetest.Value(notes[0].MarginMM)) <= 1.96*casetest.Value(note.UMarginMM) {
			s.margin++
		}
		switch clear := notes[0].Verdict == play.Clear; {
		case note.InDoubt:
			s.doubted++
		case (note.Verdict == play.Clear) != clear:
			s.wrong++
			fallthrough
		default:
			s.sure++
		}
	}
}

// Noisy crowns make the lowest action too high, in the mean; what play says is free
// of that, and its uncertainty holds. The necks have no part in how the doubt is
// worked out but for their kind.
func TestPlayDoubt_NecksOfKnownTruth(t *testing.T) {
	if testing.Short() {
		t.Skip("plays dozens of necks")
	}
	s := tryDoubt(t, "new", 1)
	t.Logf("new, one pass: %+v", s)
	if s.asRead < 0.005 {
		t.Errorf("as read the lowest action is off by %+.4f mm in the mean: the case is too mild", s.asRead)
	}
	if math.Abs(s.off) > 0.003 {
		t.Errorf("the lowest action is off by %+.4f mm in the mean", s.off)
	}
	if share := float64(s.held) / float64(s.lanes); share < 0.88 {
		t.Errorf("%.3f of lowest actions lie within 1.96 u", share)
	}
	if share := float64(s.margin) / float64(s.notes); share < 0.92 {
		t.Errorf("%.3f of margins lie within 1.96 u", share)
	}
	if share := float64(s.wrong) / float64(s.sure); share > 0.01 || s.doubted == 0 {
		t.Errorf("%.4f of sure verdicts are wrong, %d notes in doubt", share, s.doubted)
	}
}

// The scores of the classes that docs/trust.md gives; the one above is held.
func TestPlayDoubt_Classes(t *testing.T) {
	if *doubtClasses == "" {
		t.Skip("-doubt-classes names none")
	}
	for _, c := range strings.Split(*doubtClasses, ",") {
		class, count, _ := strings.Cut(c, ":")
		passes, err := strconv.Atoi(count)
		if err != nil {
			t.Fatal(err)
		}
		s := tryDoubt(t, class, passes)
		share := func(part, of int) float64 { return 100 * float64(part) / float64(of) }
		t.Logf("%s, %d passes: as read %+.1f µm, off %+.1f µm; within 1.96 u: %.0f %% of lowest actions, %.0f %% of margins; %.1f %% of sure verdicts wrong",
			class, passes, 1000*s.asRead, 1000*s.off, share(s.held, s.lanes), share(s.margin, s.notes), share(s.wrong, s.sure))
		if s.lanes == 0 || s.doubted == 0 {
			t.Errorf("%s: %+v", class, s)
		}
	}
}
