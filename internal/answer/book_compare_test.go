package answer_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/book/sqlite"
	"ringtrue/internal/casetest"
	"ringtrue/internal/wear"
)

// shop keeps the records of invented necks in a book of its own.
type shop struct {
	t    *testing.T
	book book.Store
	neck []byte
	rng  *rand.Rand
}

func newShop(t *testing.T) *shop {
	t.Helper()
	now := time.Date(2026, 5, 4, 9, 0, 0, 0, time.UTC)
	b, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "book.db"), sqlite.Options{Create: true, Now: func() time.Time {
		now = now.Add(time.Hour)
		return now
	}})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	toml, err := os.ReadFile(filepath.Join("..", "..", "examples", "heron.toml"))
	if err != nil {
		t.Fatal(err)
	}
	return &shop{t, b, toml, rand.New(rand.NewPCG(12, 34))}
}

// visit is one reading of a neck.
type visit struct {
	stage, date, state string
	passes             int
	change             func(fret, lane int) float64
}

// read records a visit: a beam along every lane, its dial good to 0.003 mm.
func (s *shop) read(serial string, v visit) {
	s.t.Helper()
	var b strings.Builder
	b.WriteString("method,lane,fret,reading,unit,pass,u,state,date\n")
	for lane := 1; lane <= 6; lane++ {
		for pass := range max(v.passes, 1) {
			for fret := 1; fret <= 22; fret++ {
				z := 0.3 - 0.0005*float64(fret*lane) + 0.004*math.Sin(float64(7*fret))
				if v.change != nil {
					z += v.change(fret, lane)
				}
				fmt.Fprintf(&b, "beam,%d,%d,%.4f,mm,%d,0.003,%s,%s\n", lane, fret, z+0.003*s.rng.NormFloat64(), pass, v.state, v.date)
			}
		}
	}
	s.add(serial, v.stage, s.neck, b.String())
}

func (s *shop) add(serial, stage string, neck []byte, readings string) {
	s.t.Helper()
	e := &book.Entry{Serial: serial, Stage: stage, Files: book.Files{
		Neck: book.File{Name: "heron.toml", Bytes: neck}, Readings: book.File{Name: "r.csv", Bytes: []byte(readings)},
	}}
	if err := answer.Judge("test").Prepare(s.t.Context(), e, 0); err != nil {
		s.t.Fatal(err)
	}
	if _, err := s.book.Add(s.t.Context(), e); err != nil {
		s.t.Fatal(err)
	}
}

func (s *shop) compare(serial, from, to string) *answer.BookCompareAnswer {
	s.t.Helper()
	a, _, err := answer.BookCompare(context.Background(), s.book, answer.BookCompareRequest{Serial: serial, From: from, To: to})
	if err != nil {
		s.t.Fatal(err)
	}
	return a
}

// grooved wears frets 1 to 3 under strings 2 and 3.
func grooved(mm float64) func(int, int) float64 {
	return func(f, l int) float64 {
		if f <= 3 && (l == 2 || l == 3) {
			return -mm
		}
		return 0
	}
}

func verdicts(a *answer.BookCompareAnswer, v wear.Verdict) (n int) {
	for _, c := range a.Crowns {
		if c.Verdict == v {
			n++
		}
	}
	return n
}

func TestBookCompare_Worn(t *testing.T) {
	for _, passes := range []int{1, 2} {
		t.Run(fmt.Sprintf("%d passes", passes), func(t *testing.T) {
			s := newShop(t)
			s.read("0412", visit{stage: "levelled", date: "2024-03-01", state: "slack", passes: passes})
			s.read("0412", visit{stage: "serviced", date: "2026-03-01", state: "slack", passes: passes, change: grooved(0.04)})
			a := s.compare("0412", "levelled", "serviced")
			if a.Verdict != "worn" || verdicts(a, "worn") != 6 || len(a.Crowns) != 132 || len(a.Frets) != 3 {
				t.Fatalf("%s, %d worn of %d, %d frets", a.Verdict, verdicts(a, "worn"), len(a.Crowns), len(a.Frets))
			}
			for _, w := range a.Wear {
				if math.Abs(w.DepthMM-0.04) > 4*w.UMM || math.Abs(casetest.Value(w.RatePerYear)-w.DepthMM/2) > 1e-4 || w.Measured {
					t.Errorf("%+v", w)
				}
				// 1.2 mm of wire less the wear, 0.9 to keep.
				if math.Abs(w.LeftMM-(0.3-w.DepthMM)) > 1e-9 || casetest.Value(w.SoonestYear) <= 2026 || casetest.Value(w.LatestYear) <= casetest.Value(w.SoonestYear) {
					t.Errorf("%+v", w)
				}
			}
			if l := a.LeastCrown; l == nil || l.LeastMM != 0.9 || casetest.Value(l.SoonestYear) != casetest.Value(a.Wear[0].SoonestYear) {
				t.Errorf("%+v", l)
			}
			if a.From.DatedBy != "readings" || a.To.State != "slack" || !a.Years.Known() || math.Abs(casetest.Value(a.Years)-2) > 0.01 {
				t.Errorf("%+v %+v", a.From, a.To)
			}
		})
	}
}

// Strung against slack the same change is called nothing, and a warning says so;
// nor backwards in time.
func TestBookCompare_CallsNothingWorn(t *testing.T) {
	cases := []struct {
		name, date, state, warning string
	}{
		{"another state", "2026-03-01", "strung", "nothing is called worn. Read both in one state"},
		{"backwards", "2022-03-01", "slack", "Name the earlier stage first"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			s := newShop(t)
			s.read("0412", visit{stage: "levelled", date: "2024-03-01", state: "slack"})
			s.read("0412", visit{stage: "serviced", date: c.date, state: c.state, change: grooved(0.06)})
			a := s.compare("0412", "levelled", "serviced")
			if verdicts(a, "worn") != 0 || len(a.Wear) != 0 || a.Verdict == "worn" || verdicts(a, "in doubt") < 6 {
				t.Errorf("%s, %d worn, %d in doubt", a.Verdict, verdicts(a, "worn"), verdicts(a, "in doubt"))
			}
			if !strings.Contains(strings.Join(a.Warnings, "\n"), c.warning) {
				t.Errorf("%q", a.Warnings)
			}
		})
	}
}

// The rod turned between the stages is no wear, and is told.
func TestBookCompare_Relief(t *testing.T) {
	s := newShop(t)
	s.read("0412", visit{stage: "levelled", date: "2024-03-01"})
	s.read("0412", visit{stage: "serviced", date: "2026-03-01", change: func(f, _ int) float64 {
		x := (1 - math.Pow(2, -float64(f)/12)) / (1 - math.Pow(2, -22./12))
		return -0.2 * 4 * x * (1 - x)
	}})
	a := s.compare("0412", "levelled", "serviced")
	if verdicts(a, "worn") != 0 || a.Bow == nil || math.Abs(a.Bow.MM-0.2) > 0.03 {
		t.Errorf("%d worn, bow %+v", verdicts(a, "worn"), a.Bow)
	}
}

// A correction takes the place of the record that it corrects, and a later
// record that of an earlier one of its stage.
func TestBookCompare_LatestInForce(t *testing.T) {
	s := newShop(t)
	s.read("0412", visit{stage: "levelled", date: "2024-03-01"})
	s.read("0412", visit{stage: "serviced", date: "2026-03-01", change: grooved(0.04)})
	s.read("0412", visit{stage: "serviced", date: "2026-03-02"})
	if a := s.compare("0412", "levelled", "serviced"); a.To.Record != 3 || verdicts(a, "worn") != 0 {
		t.Errorf("record %d, %d worn", a.To.Record, verdicts(a, "worn"))
	}
	if a := s.compare("0412", "serviced", "levelled"); a.From.Record != 3 {
		t.Errorf("record %d", a.From.Record)
	}
}

func TestBookCompare_DatesOfRecords(t *testing.T) {
	s := newShop(t)
	s.read("0412", visit{stage: "levelled"})
	s.read("0412", visit{stage: "serviced", change: grooved(0.05)})
	a := s.compare("0412", "levelled", "serviced")
	if a.From.DatedBy != "record" || len(a.Warnings) < 2 || verdicts(a, "worn") != 6 {
		t.Errorf("%+v %q, %d worn", a.From, a.Warnings, verdicts(a, "worn"))
	}
	if a.Years.Known() || a.LeastCrown != nil {
		t.Errorf("years %v, least crown %v from records alone", a.Years, a.LeastCrown)
	}
	for _, w := range a.Wear {
		if w.RatePerYear.Known() || w.SoonestYear.Known() || w.LatestYear.Known() {
			t.Errorf("%+v from records alone", w)
		}
	}
	if b := s.compare("0412", "serviced", "levelled"); verdicts(b, "worn") != 0 {
		t.Errorf("backwards: %d worn", verdicts(b, "worn"))
	}
}

// Readings without a date, put into the book later than the day that the next
// stage's readings bear, are still the earlier ones: their record came first.
func TestBookCompare_DateOfOneAlone(t *testing.T) {
	s := newShop(t)
	s.read("0412", visit{stage: "levelled"})
	s.read("0412", visit{stage: "serviced", date: "2001-03-01", change: grooved(0.05)})
	a := s.compare("0412", "levelled", "serviced")
	if verdicts(a, "worn") != 6 || a.Years.Known() || !strings.Contains(strings.Join(a.Warnings, "\n"), "levelled is taken to be earlier, as its record is") {
		t.Errorf("%d worn, years %v, %q", verdicts(a, "worn"), a.Years, a.Warnings)
	}
	if a := s.compare("0412", "serviced", "levelled"); verdicts(a, "worn") != 0 {
		t.Errorf("backwards: %d worn", verdicts(a, "worn"))
	}
}

// A fret end pressed down between two stages of one week has no time to wear:
// the answer gives both ends. After two years the same is wear.
func TestBookCompare_EndWentDown(t *testing.T) {
	for _, c := range []struct{ date, finding string }{
		{"2024-03-08", "worn under strings 1, 2 and 3, or its treble end went down"},
		{"2026-03-01", "worn under strings 1, 2 and 3"},
	} {
		s := newShop(t)
		s.read("0412", visit{stage: "levelled", date: "2024-03-01"})
		s.read("0412", visit{stage: "pressed", date: c.date, change: func(f, lane int) float64 {
			if f == 7 {
				return -0.06 + 0.012*float64(lane-1)
			}
			return 0
		}})
		a := s.compare("0412", "levelled", "pressed")
		if len(a.Frets) != 1 || !strings.HasPrefix(a.Frets[0].Finding, "worn under strings 1, 2") {
			t.Fatalf("%s: %+v", c.date, a.Frets)
		}
		f := a.Frets[0]
		leaned := strings.Contains(c.finding, "went down")
		if strings.HasSuffix(f.Finding, "or its treble end went down") != leaned || (f.Ends != nil) != leaned {
			t.Errorf("%s: %+v %+v", c.date, f, f.Ends)
		}
		if leaned && (math.Abs(f.Ends.TrebleMM+0.06) > 0.015 || math.Abs(f.Ends.BassMM) > 0.015) {
			t.Errorf("ends %+v", f.Ends)
		}
	}
}

func TestBookCompare_Refuses(t *testing.T) {
	s := newShop(t)
	s.read("0412", visit{stage: "levelled"})
	s.read("0412", visit{stage: "serviced"})
	other := strings.Replace(string(s.neck), "frets = 22", "frets = 21", 1)
	s.add("0412", "refretted", []byte(other), "method,lane,fret,reading,unit\nbeam,1,1,0,mm\nbeam,1,2,0,mm\nbeam,1,3,0,mm\n")
	cases := []struct {
		serial, from, to string
		kind             error
		words            string
	}{
		{"0413", "levelled", "serviced", book.ErrNotFound, "near it: 0412"},
		{"0412", "leveled", "serviced", book.ErrNotFound, "near it: levelled"},
		{"0412", "levelled", "levelled", book.ErrUnlike, "one stage"},
		{"0412", "levelled", "refretted", book.ErrUnlike, "22 frets"},
	}
	for _, c := range cases {
		_, _, err := answer.BookCompare(t.Context(), s.book, answer.BookCompareRequest{Serial: c.serial, From: c.from, To: c.to})
		if !errors.Is(err, c.kind) || !book.IsCall(err) || !strings.Contains(err.Error(), c.words) {
			t.Errorf("%s %s %s: %v", c.serial, c.from, c.to, err)
		}
	}
}
