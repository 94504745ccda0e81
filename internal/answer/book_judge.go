package answer

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/findings"
	"ringtrue/internal/geometry"
	"ringtrue/internal/level"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

// manyRefits is what a record says where even level.MaxRefits refits leave a crown
// too low: more than could be tried.
const manyRefits = level.MaxRefits + 1

// judgementRevision counts how the judgement has changed: it rises whenever the
// same files come out otherwise, so that the book tells records that an older
// version judged from damaged ones. TestJudgementRevision holds the results
// that belong to it.
//
// 0: not recorded, every version before revisions were counted. 2: all causes
// of a fret weighed together.
const judgementRevision = 2

var _ book.Judge = JudgeFiles

// ParseFiles reads a record's two files. Faults are the files' own, as a
// fileerr.List, or an error that names the neck file.
func ParseFiles(f book.Files) (neck.Model, *geometry.Layout, []reading.Reading, error) {
	m, err := neck.Parse(f.Neck.Name, f.Neck.Bytes)
	if err != nil {
		return m, nil, nil, err
	}
	l, err := geometry.New(m)
	if err != nil {
		return m, nil, nil, fmt.Errorf("%s: %w", f.Neck.Name, err)
	}
	set, err := reading.Parse(f.Readings.Name, bytes.NewReader(f.Readings.Bytes), reading.Bounds{
		FirstFret: l.FirstFret(), LastFret: l.LastFret(), Strings: l.Strings(),
	})
	return m, l, set.Readings, err
}

// JudgeFiles works out what a record's files say, as `frets` does. It is the
// book's Judge.
func JudgeFiles(ctx context.Context, f book.Files) (book.Judgement, error) {
	m, l, readings, err := ParseFiles(f)
	if err != nil {
		return book.Judgement{}, err
	}
	n, err := judged(m, l, readings)
	if err != nil {
		return book.Judgement{}, fmt.Errorf("%s: %w", f.Readings.Name, err)
	}
	p, _, err := planOf(ctx, &FretsRequest{Model: m, Layout: l, Readings: readings}, n)
	if err != nil {
		return book.Judgement{}, err
	}
	j := book.Judgement{
		Revision: judgementRevision, Model: m.Name, States: statesOf(readings), Taken: takenOn(readings), Verdict: string(n.Verdict),
		LeastCrownMM: m.Level.LeastCrown, FretsOff: fretsOff(n), Refits: refitsNeeded(p, m.Level.LeastCrown),
		Crowns: bookCrowns(m, l, readings, n),
	}
	if len(n.Lanes) > 0 {
		zone := 0.0
		for _, lane := range n.Lanes {
			zone = math.Max(zone, lane.Judged.Zone.WidthMM)
		}
		worst := 0.0
		for _, c := range j.Crowns {
			worst = math.Max(worst, math.Abs(c.OffMM))
		}
		j.ZoneMM, j.WorstMM, j.MetalMM, j.MostMM = &zone, &worst, &p.TotalRemoveMM, &p.MaxRemoveMM
	}
	return j, nil
}

func bookCrowns(m neck.Model, l *geometry.Layout, readings []reading.Reading, n *findings.Neck) []book.Crown {
	h := level.HeightsOf(m, readings)
	var out []book.Crown
	for _, lane := range n.Lanes {
		shape := l.Shape(lane.Lane.Lane, lane.Frets)
		for i, f := range lane.Frets {
			_, measured := h.Read[level.Place{Fret: f, Lane: lane.Lane.Lane}]
			out = append(out, book.Crown{
				Fret: f, Lane: lane.Lane.Lane, XMM: lane.X[i], OffMM: lane.Off[i], UMM: lane.U[i], ShapeMM: shape[i],
				StandsMM: h.At(f, lane.Lane.Lane), Measured: measured,
			})
		}
	}
	return out
}

// fretsOff counts frets with a finding, each once.
func fretsOff(n *findings.Neck) int {
	off := map[int]bool{}
	for _, f := range n.Frets() {
		off[f.Fret] = true
	}
	return len(off)
}

// refitsNeeded is the fewest refits after which no crown is planned below the
// least, manyRefits where none of the options gets there.
func refitsNeeded(p *LevellingPlan, least float64) int {
	for _, o := range p.Options {
		if o.LeastCrownMM >= least {
			return len(o.Refit)
		}
	}
	return manyRefits
}

func statesOf(readings []reading.Reading) []string {
	var all []string
	for _, r := range readings {
		all = append(all, r.State)
	}
	return book.StatesOf(all)
}

// takenOn is the latest date of the readings: a day, with or without the time,
// the year first, or day.month.year. What cannot be told apart for certain
// (3/4/2026) is no date here; the file keeps it.
func takenOn(readings []reading.Reading) time.Time {
	var latest time.Time
	for _, r := range readings {
		if r.Date == "" {
			continue
		}
		for _, form := range []string{time.DateOnly, time.RFC3339, "2006-01-02T15:04", "2006-01-02 15:04", time.DateTime, "2.1.2006"} {
			if t, err := time.Parse(form, r.Date); err == nil {
				if t.After(latest) {
					latest = t.UTC()
				}
				break
			}
		}
	}
	return latest
}
