package answer_test

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/casetest"
	"ringtrue/internal/filing"
	"ringtrue/internal/findings"
	"ringtrue/internal/geometry"
	"ringtrue/internal/hand"
	"ringtrue/internal/level"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

// filed records necks that a hand files: three frets alone on each, to flats that it
// takes for right and that end so many times deeper. A stroke takes q mm³, and by its
// draws the mean of log q that it returns.
func (s *shop) filed(by string, necks int, q, deeper float64, minutes string) (logQ float64) {
	s.t.Helper()
	m, err := neck.Parse("heron.toml", s.neck)
	if err != nil {
		s.t.Fatal(err)
	}
	layout, err := geometry.New(m)
	if err != nil {
		s.t.Fatal(err)
	}
	crown, strip := m.Wire.Crown(), hand.BenchOf(m, layout).StripMM
	for n := range necks {
		serial := fmt.Sprintf("%s-%d", by, n)
		s.read(serial, visit{stage: "seated", passes: 2})
		off, done := map[int]float64{}, []string{}
		neckB := 0.25 * s.rng.NormFloat64()
		for _, fret := range []int{4, 9, 15} {
			want := 0.015 + 0.01*s.rng.Float64()
			flat := math.Round(level.FlatWidth(crown, want)*100) / 100
			off[fret] = filing.Depth(crown, flat) * deeper * math.Exp(0.05*s.rng.NormFloat64())
			drawn := math.Log(q) + neckB + 0.3*s.rng.NormFloat64()
			strokes := filing.StripVolume(crown, strip, off[fret]) * 6 / math.Exp(drawn)
			logQ += drawn / float64(3*necks)
			done = append(done, fmt.Sprintf("file %d: %.0f, flat %.2f mm", fret, max(1, strokes), flat))
		}
		s.readDone(serial, by, strings.Join(done, "; "), minutes, func(fret, _ int) float64 { return -off[fret] })
	}
	return logQ
}

// readDone records a neck after the work.
func (s *shop) readDone(serial, by, strokes, minutes string, change func(fret, lane int) float64) {
	s.t.Helper()
	var b strings.Builder
	b.WriteString("method,lane,fret,reading,unit,pass,u\n")
	for lane := 1; lane <= 6; lane++ {
		for pass := range 2 {
			for fret := 1; fret <= 22; fret++ {
				z := 0.3 - 0.0005*float64(fret*lane) + 0.004*math.Sin(float64(7*fret)) + change(fret, lane)
				fmt.Fprintf(&b, "beam,%d,%d,%.4f,mm,%d,0.003\n", lane, fret, z+0.003*s.rng.NormFloat64(), pass)
			}
		}
	}
	e := &book.Entry{Serial: serial, Stage: "levelled", By: by, Tags: book.Tags{}, Files: book.Files{
		Neck: book.File{Name: "heron.toml", Bytes: s.neck}, Readings: book.File{Name: "r.csv", Bytes: []byte(b.String())},
	}}
	for k, v := range map[string]string{book.StrokesTag: strokes, book.MinutesTag: minutes} {
		if v != "" {
			e.Tags[k] = v
		}
	}
	if err := answer.Judge("test").Prepare(s.t.Context(), e, 0); err != nil {
		s.t.Fatal(err)
	}
	if _, err := s.book.Add(s.t.Context(), e); err != nil {
		s.t.Fatal(err)
	}
}

// A hand's necks in a book: what its stroke takes and how deep its flats end come out of
// the readings alone.
func TestBookHand_LearnsFromReadings(t *testing.T) {
	s := newShop(t)
	const q, deeper = 0.03, 1.25
	logQ := s.filed("Ines", 6, q, deeper, "120")
	a, err := answer.BookHand(t.Context(), s.book, "", neck.UsualShop())
	if err != nil {
		t.Fatal(err)
	}
	if a.By != "Ines" || len(a.Removal) != 1 || a.Removal[0].Entries != 18 || a.Removal[0].Necks != 6 || a.Untold != 0 || len(a.Unread) != 0 {
		t.Fatalf("learned %+v", a)
	}
	r := a.Removal[0]
	t.Logf("a stroke %.4f (%.4f to %.4f) mm³, flats %.1f ± %.1f %% deep", r.PerStroke, r.Range[0], r.Range[1], a.Flats.DeeperPct, a.Flats.UPct)
	// Whole strokes and the readings' errors leave some per cent.
	casetest.Near(t, "log of what a stroke takes", math.Log(r.PerStroke), logQ, 0.07)
	if r.Range[1]/r.Range[0] > 1.7 || r.Range[0] >= r.PerStroke {
		t.Errorf("a stroke takes %g mm³, range %v", r.PerStroke, r.Range)
	}
	casetest.Near(t, "flats end deeper by, %", a.Flats.DeeperPct, 25, 2*a.Flats.UPct)
	if !a.Flats.Corrected || !a.Flats.ScatterMM.Known() {
		t.Errorf("eighteen flats do not correct: %+v", a.Flats)
	}
	if a.Minutes.Jobs != 6 {
		t.Errorf("times rest on %d jobs", a.Minutes.Jobs)
	}
}

// Plans for a hand whose flats end deep name narrower flats, and say about how many
// strokes they take; without a book nothing changes.
func TestFrets_PlansForTheHand(t *testing.T) {
	s := newShop(t)
	s.filed("Ines", 6, 0.03, 1.25, "")
	m, layout, readings := neckAndReadings(t, "heron-slant.toml", "heron-slant-seated.csv")
	r := answer.FretsRequest{Model: m, Layout: layout, Readings: readings, Moves: true, Time: true}
	usual := work(t, r)
	k, unread, err := answer.HandOf(t.Context(), s.book, "Ines", answer.EachOf(m, neck.Shop{}))
	if err != nil || len(unread) > 0 {
		t.Fatal(err, unread)
	}
	r.Hand = &k
	learned := work(t, r)
	at := func(a *answer.FretsAnswer) (flat float64, m findings.Move) {
		for _, m := range a.Work.Moves {
			if m.Tool == findings.File && m.FromFret == 0 {
				return m.Until[0].FlatMM, m
			}
		}
		t.Fatal("fret 0 is not filed alone: the case shows nothing")
		return 0, m
	}
	wide, plain := at(usual)
	narrow, known := at(learned)
	// The width of the same depth by a hand a quarter deep: near enough 1/√1.25.
	casetest.Near(t, "the flat for a hand whose flats end deep", narrow, wide/math.Sqrt(1.25), 0.055)
	if len(plain.StrokesRange) != 0 || len(known.StrokesRange) != 2 || known.StrokesRange[0] >= known.Strokes.OrNaN() || known.StrokesRange[1] <= known.Strokes.OrNaN() {
		t.Errorf("strokes as usual %v %v, of the hand %v %v", plain.Strokes, plain.StrokesRange, known.Strokes, known.StrokesRange)
	}
	if usual.Hand != nil || learned.Hand == nil || learned.Hand.Entries != 18 || !learned.Hand.Flats.Corrected {
		t.Errorf("whom the plan is for: %+v, %+v", usual.Hand, learned.Hand)
	}
}

func TestBookHand_Nobody(t *testing.T) {
	s := newShop(t)
	a, err := answer.BookHand(t.Context(), s.book, "", neck.UsualShop())
	if err != nil || len(a.Removal) != 0 || a.Flats != nil || !strings.Contains(a.Next, "--strokes") {
		t.Errorf("an empty book: %+v, %v", a, err)
	}
	s.filed("Ines", 1, 0.03, 1, "")
	s.filed("Ole", 1, 0.03, 1, "")
	if _, err := answer.BookHand(t.Context(), s.book, "Ine", neck.UsualShop()); !errors.Is(err, book.ErrNotFound) || !strings.Contains(err.Error(), "Ines") {
		t.Errorf("a hand that is not there: %v", err)
	}
	if a, err = answer.BookHand(t.Context(), s.book, "", neck.UsualShop()); err != nil || len(a.Removal) != 2 || a.Flats != nil || !strings.Contains(a.Next, "--by") {
		t.Errorf("two hands: %+v, %v", a, err)
	}
	s.readDone("odd", "Ines", "file seven: 40", "", func(int, int) float64 { return 0 })
	s.readDone("first", "Ines", "file 7: 40", "", func(int, int) float64 { return 0 })
	if a, err = answer.BookHand(t.Context(), s.book, "Ines", neck.UsualShop()); err != nil || len(a.Unread) != 1 || a.Untold != 1 {
		t.Errorf("strokes that cannot be read, and without readings before: %+v, %v", a, err)
	}
}

// What a neck's time is made of: the neck file's own minutes go first.
func TestTime(t *testing.T) {
	m, layout, readings := neckAndReadings(t, "heron-slant.toml", "heron-slant-seated.csv")
	r := answer.FretsRequest{Model: m, Layout: layout, Readings: readings, Moves: true, Time: true}
	own := work(t, r).Time
	m.Minutes = neck.Minutes{}
	r.Model = m
	usual := work(t, r).Time
	for _, c := range []struct {
		name string
		time *answer.Time
		has  []string
	}{
		{"by the neck file", own, []string{"press", "file", "read"}},
		{"as usual", usual, []string{"press", "ink", "beam", "crown", "polish", "read"}},
	} {
		if c.time == nil {
			t.Fatalf("%s: no time", c.name)
		}
		sum := 0.0
		var steps []string
		for _, s := range c.time.Steps {
			sum += s.Minutes
			steps = append(steps, s.Step)
		}
		casetest.Near(t, c.name+": the sum of its steps", c.time.Minutes, sum, 1e-9)
		casetest.Near(t, c.name+": the quote", c.time.QuoteMinutes, hand.Quote(sum), 1e-9)
		for _, step := range c.has {
			if !slices.Contains(steps, step) {
				t.Errorf("%s: no %s among %v", c.name, step, steps)
			}
		}
	}
	r.Shop = neck.UsualShop()
	r.Shop.Minutes.Crown *= 3
	if slow := work(t, r).Time; !(slow.Minutes > usual.Minutes+10) {
		t.Errorf("a slow shop takes %g min, a usual one %g", slow.Minutes, usual.Minutes)
	}
}

func neckAndReadings(t *testing.T, neckFile, readings string) (neck.Model, *geometry.Layout, []reading.Reading) {
	t.Helper()
	var f book.Files
	for name, into := range map[string]*book.File{neckFile: &f.Neck, readings: &f.Readings} {
		data, err := os.ReadFile(filepath.Join("..", "..", "examples", name))
		if err != nil {
			t.Fatal(err)
		}
		*into = book.File{Name: name, Bytes: data}
	}
	p, err := f.Parse()
	if err != nil {
		t.Fatal(err)
	}
	return p.Model, p.Layout, p.Readings
}

// work is the answer of a neck that is not level.
func work(t *testing.T, r answer.FretsRequest) *answer.FretsAnswer {
	t.Helper()
	a, err := answer.Frets(t.Context(), r)
	if err != nil {
		t.Fatal(err)
	}
	if a.Work == nil {
		t.Fatalf("no work: %s", a.WhyNot)
	}
	return a
}
