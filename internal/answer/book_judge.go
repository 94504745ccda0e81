package answer

import (
	"context"
	"fmt"

	"ringtrue/internal/book"
	"ringtrue/internal/level"
	"ringtrue/internal/num"
)

// judgementRevision counts how the judgement has changed: it rises whenever the
// same files come out otherwise, so that the book tells records that an older
// version judged from damaged ones. TestJudgementRevision holds the results
// that belong to it.
//
// 0: not recorded, every version before revisions were counted. 2: all causes
// of a fret weighed together.
const judgementRevision = 2

// Judge is the book's judge of files, by a version of this program.
func Judge(program string) book.Judge {
	return book.Judge{Program: program, Revision: judgementRevision, Files: judgeFiles}
}

// judgeFiles works out what a record's files say, as `frets` does.
func judgeFiles(ctx context.Context, f book.Files) (d book.Derived, err error) {
	p, err := f.Parse()
	if err != nil {
		return d, err
	}
	n, err := judged(ctx, p.Model, p.Layout, p.Readings)
	if err != nil {
		return d, fmt.Errorf("%s: %w", f.Readings.Name, err)
	}
	plan, _, err := planOf(ctx, &FretsRequest{Model: p.Model, Layout: p.Layout, Readings: p.Readings}, n)
	if err != nil {
		return d, err
	}
	d = book.Derived{
		Model: p.Model.Name, States: book.StatesOf(p.Readings), Taken: book.TakenOn(p.Readings),
		Figures: book.Figures{Verdict: string(n.Verdict), FretsOff: n.FretsOff(), Refits: level.RefitsNeeded(plan.Options, p.Model.Level.LeastCrown, level.MaxRefits)},
	}
	var crowns []book.Crown
	for _, l := range n.Lanes {
		for i, f := range l.Frets {
			crowns = append(crowns, book.Crown{Fret: f, Lane: l.Lane.Lane, OffMM: l.Off[i], UMM: l.U[i]})
		}
	}
	if len(n.Lanes) > 0 {
		d.ZoneMM, d.WorstMM = num.Some(n.ZoneMM()), num.Some(n.WorstMM())
		d.MetalMM, d.MostMM = num.Some(plan.TotalRemoveMM), num.Some(plan.MaxRemoveMM)
	}
	d.Crowns, err = book.Pack(crowns)
	return d, err
}
