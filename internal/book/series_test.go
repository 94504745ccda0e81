package book_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/book/booktest"
	"ringtrue/internal/casetest"
	"ringtrue/internal/drift"
	"ringtrue/internal/num"
)

// rows is a book in memory.
type rows []book.Row

func (r rows) Scan(ctx context.Context, f book.Filter, want book.Columns, fn func(*book.Row) error) error {
	for i := range r {
		if f.Stage != "" && r[i].Stage != f.Stage {
			continue
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		row := r[i]
		row.TagText = row.Tags.Text()
		if want&book.CrownColumns == 0 {
			row.Crowns = nil
		}
		if err := fn(&row); err != nil {
			return err
		}
	}
	return nil
}

// shop is a workshop's book, in no order of time.
func shop(n int) rows {
	w := booktest.Workshop{Necks: n, Seed: 5}
	all := make(rows, n)
	for i := range n {
		e := w.Entry(i + 1)
		d := e.Derived
		all[(i*7919)%n] = book.Row{
			Number: int64(i + 1), Serial: e.Serial, Stage: e.Stage, At: d.Taken, Tags: e.Tags,
			Figures: d.Figures, Crowns: d.Crowns,
		}
	}
	return all
}

func figure(t *testing.T, of string) book.Figure {
	t.Helper()
	f, err := book.ParseFigure(of, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// Heights and seats against the crowns as they were, in order of time.
func TestSeriesOf_CrownsAsTheyWere(t *testing.T) {
	casetest.OneByOne(t)
	const n = 97
	w := booktest.Workshop{Necks: n, Seed: 5}
	plain := func(number, fret int, lanes ...int) float64 {
		e := w.Entry(number)
		crowns, err := e.Derived.Crowns.Unpack()
		if err != nil {
			t.Fatal(err)
		}
		sum, count := 0.0, 0
		for _, c := range crowns {
			for _, l := range lanes {
				if c.Fret == fret && c.Lane == float64(l) {
					sum, count = sum+c.OffMM, count+1
				}
			}
		}
		return sum / float64(count)
	}
	for of, want := range map[string]func(int) float64{
		"fret 14":        func(k int) float64 { return plain(k, 14, 1, 2, 3, 4, 5, 6) },
		"fret 3, lane 6": func(k int) float64 { return plain(k, 3, 6) },
		"seat 9":         func(k int) float64 { return plain(k, 9, 1, 6) - plain(k, 9, 2, 3, 4, 5) },
		"seat": func(k int) float64 {
			sum := 0.0
			for f := 1; f <= 24; f++ {
				sum += math.Abs(plain(k, f, 1, 6) - plain(k, f, 2, 3, 4, 5))
			}
			return sum / 24
		},
		"zone":     func(k int) float64 { return casetest.Value(w.Entry(k).Derived.ZoneMM) },
		"findings": func(k int) float64 { return float64(w.Entry(k).Derived.FretsOff) },
	} {
		s, err := book.SeriesOf(context.Background(), shop(n), book.Query{Figure: figure(t, of)})
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Points) != n || len(s.Notes) != 0 {
			t.Fatalf("%s: %d points, %v", of, len(s.Points), s.Notes)
		}
		for i, p := range s.Points {
			if p.Label != fmt.Sprintf("%06d", i+1) || math.Abs(p.Value-want(i+1)) > 1e-9 {
				t.Fatalf("%s: point %d is %+v, want %g", of, i+1, p, want(i+1))
			}
		}
	}
}

func TestSeriesOf_Shares(t *testing.T) {
	all := shop(200)
	s, err := book.SeriesOf(context.Background(), all, book.Query{Figure: figure(t, "share"), Each: "50", By: "wire"})
	if err != nil {
		t.Fatal(err)
	}
	off, outOf := 0, 0
	for _, r := range all {
		if r.Verdict == "not level" {
			off++
		}
	}
	for _, p := range s.Points {
		off -= int(p.Value)
		outOf += p.OutOf
	}
	if off != 0 || outOf != 200 || len(s.Points) != 4 || s.Kind != drift.KindProportion || len(s.Parts) != 2 {
		t.Errorf("%d left, %d looked at, %+v", off, outOf, s)
	}
}

// Of a neck's records the latest counts; what a record does not tell is left out.
func TestSeriesOf_LatestOfEachNeck(t *testing.T) {
	all := shop(40)
	again := all[3]
	again.Number, again.At, again.ZoneMM = 41, again.At.AddDate(5, 0, 0), num.Some(9)
	all = append(all, again)
	all[7].ZoneMM = num.Opt{}
	s, err := book.SeriesOf(context.Background(), all, book.Query{Figure: figure(t, "zone")})
	if err != nil {
		t.Fatal(err)
	}
	p := s.Points
	if len(p) != 39 || p[38].Value != 9 || p[38].Label != again.Serial || len(s.Notes) != 2 {
		t.Errorf("%d points, the last %+v; notes %v", len(p), p[len(p)-1], s.Notes)
	}
}

func TestSeriesOf_Refused(t *testing.T) {
	ctx := context.Background()
	for _, c := range []struct {
		book rows
		q    book.Query
		want error
		word string
	}{
		{nil, book.Query{Figure: figure(t, "zone")}, book.ErrNotFound, "empty"},
		{shop(5), book.Query{Figure: figure(t, "zone"), Filter: book.Filter{Stage: "levelled"}}, book.ErrNotFound, "there are: seated"},
		{shop(5), book.Query{Figure: figure(t, "tag:press")}, book.ErrFigure, "press"},
		{shop(5), book.Query{Figure: figure(t, "seat 25")}, book.ErrFigure, "chart this"},
	} {
		_, err := book.SeriesOf(ctx, c.book, c.q)
		if !errors.Is(err, c.want) || !strings.Contains(err.Error(), c.word) {
			t.Errorf("%+v: %v", c.q, err)
		}
	}
	gone, cancel := context.WithCancel(ctx)
	cancel()
	if _, err := answer.Pattern(gone, shop(50), book.Filter{}, ""); !errors.Is(err, context.Canceled) {
		t.Errorf("a cancelled pattern: %v", err)
	}
}

func TestPattern_TellsWhatIsPlanted(t *testing.T) {
	w := booktest.Workshop{Necks: 300}
	a, err := answer.Pattern(context.Background(), shop(w.Necks), book.Filter{}, "hand")
	if err != nil {
		t.Fatal(err)
	}
	want := fmt.Sprintf("fret 14 is 0.021 mm high from neck %06d", w.LotAt())
	if len(a.Findings) == 0 || !strings.HasPrefix(a.Findings[0], want) || !strings.Contains(a.Findings[0], "with wire lot7;") {
		t.Errorf("findings %q; want first %q", a.Findings, want)
	}
	for _, d := range a.Differ {
		if d.Differs != (d.Fret%3 == 0) { // Bram's
			t.Errorf("fret %d differs by hand: %v, p %g", d.Fret, d.Differs, d.P)
		}
	}
	if len(a.Differ) != 24 || a.Steady {
		t.Errorf("%d frets compared, steady %v", len(a.Differ), a.Steady)
	}
}

// A fret that creeps up is told as a drift, not as its last step.
func TestPattern_SlowDrift(t *testing.T) {
	w := booktest.Workshop{Necks: 600, Seed: 3}
	var all rows
	for n := 1; n <= w.Necks; n++ {
		e := w.Entry(n)
		crowns, err := e.Derived.Crowns.Unpack()
		if err != nil {
			t.Fatal(err)
		}
		for i := range crowns {
			if crowns[i].Fret == 7 {
				crowns[i].OffMM += 0.03 * float64(n) / float64(w.Necks)
			}
		}
		p, err := book.Pack(crowns)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, book.Row{Number: int64(n), Serial: e.Serial, Stage: "seated", At: e.Derived.Taken, Tags: e.Tags, Crowns: p})
	}
	a, err := answer.Pattern(context.Background(), all, book.Filter{}, "")
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(strings.Join(a.Findings, "\n"), "fret 7 drifts up in ") {
		t.Errorf("findings %q", a.Findings)
	}
}

func TestParseFigure_Words(t *testing.T) {
	two, lane := 2, 3.5
	for _, c := range []struct {
		of   string
		fret *int
		lane *float64
		name string
	}{
		{"Zone", nil, nil, "zone"}, {"worst crown", nil, nil, "worst crown"}, {"  metal   taken ", nil, nil, "metal to take"},
		{"fret 2", nil, nil, "mean height of fret 2"}, {"fret 2, lane 3.5", nil, nil, "height of fret 2 in lane 3.5"},
		{"height", &two, &lane, "height of fret 2 in lane 3.5"}, {"height fret 2", nil, nil, "mean height of fret 2"},
		{"seat fret 2", nil, nil, "ends over the middle of fret 2"}, {"not level", nil, nil, "necks not level"}, {"tag:Press force", nil, nil, "Press force"},
	} {
		f, err := book.ParseFigure(c.of, c.fret, c.lane)
		if err != nil || f.Name != c.name {
			t.Errorf("%q: %q, %v; want %q", c.of, f.Name, err, c.name)
		}
	}
	for _, of := range []string{"", " ", "fret", "fret -1", "fret 300", "fret 2 lane x", "lane 2", "zone 3", "14", "tag:", "lane lane"} {
		if f, err := book.ParseFigure(of, nil, nil); !errors.Is(err, book.ErrFigure) {
			t.Errorf("%q is read as %+v, %v", of, f, err)
		}
	}
}

func FuzzParseFigure(f *testing.F) {
	for _, n := range book.FigureNames() {
		f.Add(n)
	}
	f.Add("fret 14 lane 2")
	f.Fuzz(func(t *testing.T, of string) {
		if fig, err := book.ParseFigure(of, nil, nil); (err == nil) == errors.Is(err, book.ErrFigure) || err == nil && fig.Name == "" {
			t.Errorf("%q: %+v, %v", of, fig, err)
		}
	})
}

func TestSeriesOf_GathersByCalendar(t *testing.T) {
	all := shop(2)
	for i := range all {
		all[i].At = time.Date(2024, 12, 30, 23, i, 0, 0, time.UTC)
	}
	for each, want := range map[string]string{"day": "2024-12-30", "week": "2025-W01", "month": "2024-12", "quarter": "2024-Q4", "year": "2024", "2": "1-2"} {
		s, err := book.SeriesOf(context.Background(), all, book.Query{Figure: figure(t, "zone"), Each: each})
		if err != nil || s.Points[0].Group != want || s.Points[1].Group != want {
			t.Errorf("%s: %+v, %v; want group %s", each, s.Points, err, want)
		}
	}
}

// A zone is never under 0: a lower limit down there is none, and is said to be
// none. A height has a sign, and so has its limit.
func TestDrift_NoLowerLimitUnderNothing(t *testing.T) {
	for _, c := range []struct {
		of   string
		none bool
	}{{"zone", true}, {"height 14", false}} {
		q := book.Query{Figure: figure(t, c.of), Filter: book.Filter{}, By: "hand"}
		s, err := book.SeriesOf(context.Background(), shop(60), q)
		if err != nil {
			t.Fatal(err)
		}
		for i := range s.Points { // a scatter that is wide beside the level
			s.Points[i].Value = float64(1+i%7*i%5) * 0.01
		}
		a, err := answer.Drift(context.Background(), answer.DriftRequest{Series: s, By: "hand"})
		if err != nil {
			t.Fatal(err)
		}
		if a.Lower >= 0 {
			t.Fatalf("%s: the lower limit is %g: the case tests nothing", c.of, a.Lower)
		}
		if a.NoLower != c.none {
			t.Errorf("%s: no lower limit is %v", c.of, a.NoLower)
		}
		if a.Spread.NoLower {
			t.Errorf("%s: ranges have a lower limit, 0", c.of)
		}
		for _, p := range a.Parts {
			if p.Answer != nil && p.Answer.NoLower != (c.none && p.Answer.Lower < 0) {
				t.Errorf("%s, %s: no lower limit is %v", c.of, p.Tag, p.Answer.NoLower)
			}
		}
	}
}
