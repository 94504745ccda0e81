package answer

import (
	"context"
	"slices"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/findings"
	"ringtrue/internal/text"
	"ringtrue/internal/wear"
)

// mostPast is how many earlier records a neck's present one is compared with: the
// latest, and the first.
const mostPast = 5

// FretsHistory is what the book knows of a neck before the readings judged now.
type FretsHistory struct {
	Compared   []ComparedStage `json:"compared"` // the latest first
	WithinMM   float64         `json:"unchanged_within_mm"`
	Confidence float64         `json:"confidence"` // of unchanged, and of all that changed together
	Warnings   []string        `json:"warnings"`
}

// FindingHistory is what the earlier stages say of one finding.
type FindingHistory struct {
	SinceStage string       `json:"since_stage,omitempty"` // the earliest since which its crowns have not changed
	SinceDate  time.Time    `json:"since_date,omitzero"`
	Changed    wear.Verdict `json:"changed"`    // since FromStage; "unchanged" only where that is sure
	FromStage  string       `json:"from_stage"` // compared with: the latest that it differs from, else that of SinceStage, else the latest
	FromDate   time.Time    `json:"from_date,omitzero"`
	ChangeMM   float64      `json:"change_mm"`             // mean of the crowns that it is said of, up positive
	UMM        float64      `json:"u_mm"`                  // its standard uncertainty
	NeverRight bool         `json:"never_right,omitempty"` // so since the frets went in
	Finding    string       `json:"finding,omitempty"`     // in place of the finding's own words where it is not wear, but never was right
	Advice     string       `json:"advice,omitempty"`      // likewise
	Words      string       `json:"words"`                 // a short sentence
}

// TellHistory compares the readings of a stage with the neck's earlier records in the
// book and puts into a its history: what of the findings was so before and has not
// changed, what changed, and what the readings are not enough to say. A record that
// cannot be read or compared is a warning. Errors: those of book.StageOf.
func TellHistory(ctx context.Context, s book.Store, serial, stage string, a *FretsAnswer) error {
	records, err := book.RecordsOf(ctx, s, serial)
	if err != nil {
		return err
	}
	now, err := book.StageOf(ctx, s, records, stage)
	if err != nil {
		return err
	}
	before := earlier(records, now.Record)
	if len(before) == 0 {
		return nil
	}
	present, err := estimated(now)
	if err != nil {
		return err
	}
	h := &FretsHistory{Compared: []ComparedStage{}, WithinMM: now.Model.Level.Zone / 2, Confidence: compareConfidence, Warnings: []string{}}
	// All comparisons together are as sure as one.
	joint := 1 - (1-compareConfidence)/float64(len(before))
	var past []*comparison
	for _, r := range before {
		c, err := comparedBefore(ctx, s, r, present, joint)
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil {
			h.Warnings = append(h.Warnings, text.NotInHistory(r.Stage, r.Number, err))
			continue
		}
		h.Compared = append(h.Compared, c.a.From)
		past = append(past, c)
	}
	if len(past) > 0 {
		a.tellFindings(past, h.WithinMM, now.Layout.Strings())
	}
	if len(a.Frets)+len(a.Findings)+len(h.Warnings) > 0 { // else there is nothing to tell
		a.History = h
	}
	return nil
}

// earlier are the records in force that were read before one, the latest first.
func earlier(records []book.Record, now *book.Record) (before []*book.Record) {
	for i := range records {
		r := &records[i]
		if r.CorrectedBy == 0 && r.Number < now.Number && r.Number != now.CorrectsNo && !r.At().After(now.At()) {
			before = append(before, r)
		}
	}
	slices.SortStableFunc(before, func(a, b *book.Record) int { return b.At().Compare(a.At()) })
	if len(before) > mostPast {
		before = append(before[:mostPast-1], before[len(before)-1])
	}
	return before
}

// comparedBefore compares one earlier record with the present.
func comparedBefore(ctx context.Context, s book.Store, r *book.Record, now *comparedStage, confidence float64) (*comparison, error) {
	then, err := stageOfRecord(ctx, s, r)
	if err != nil {
		return nil, err
	}
	if err = book.SameNeck(then.Stage, now.Stage); err != nil {
		return nil, err
	}
	c, err := newComparison(then, now, BookCompareRequest{Serial: r.Serial, From: r.Stage, To: now.Record.Stage, Confidence: confidence})
	if err != nil {
		return nil, err
	}
	c.overrule()
	return c, nil
}

// stageOfRecord reads and lays out one record.
func stageOfRecord(ctx context.Context, s book.Store, r *book.Record) (*comparedStage, error) {
	f, err := book.WholeFiles(ctx, s, r)
	if err != nil {
		return nil, err
	}
	p, err := f.Parse()
	if err != nil {
		return nil, err
	}
	return estimated(&book.Stage{Record: r, Parsed: p})
}

// tellFindings puts its history beside every finding of crowns.
func (a *FretsAnswer) tellFindings(past []*comparison, withinMM float64, strings int) {
	for i := range a.Frets {
		f := &a.Frets[i]
		if f.Kind == findings.KindLoose { // it stands otherwise at each reading
			continue
		}
		f.History = historyOf(past, withinMM, about{f.Kind, f.Finding, f.depthMM, placesOf([]int{f.Fret}, f.Lanes, strings)})
	}
	if a.Work != nil {
		for i := range a.Work.First {
			f := &a.Work.First[i]
			if at := slices.IndexFunc(a.Frets, func(x FretFinding) bool { return x.Fret == f.Fret }); at >= 0 {
				f.History = a.Frets[at].History
			}
		}
	}
	for i := range a.Findings {
		f := &a.Findings[i]
		if len(f.Frets) > 0 { // a bow, a twist and a radius are in the lines that no comparison sees
			f.History = historyOf(past, withinMM, about{f.Kind, f.Finding, 0, placesOf(f.Frets, f.Lanes, strings)})
		}
	}
}

// placesOf are the crowns of a finding; of every lane where it names none.
func placesOf(frets []int, lanes []float64, strings int) map[wear.Place]bool {
	if len(lanes) == 0 {
		for n := range strings {
			lanes = append(lanes, float64(n+1))
		}
	}
	at := map[wear.Place]bool{}
	for _, f := range frets {
		for _, l := range lanes {
			at[wear.Place{Fret: f, Lane: l}] = true
		}
	}
	return at
}

// about is the finding that a history is of.
type about struct {
	kind, words string
	offMM       float64 // how far its crowns are off, up positive; 0: as they are judged
	at          map[wear.Place]bool
}

func historyOf(past []*comparison, withinMM float64, f about) *FindingHistory {
	var told []wear.Past
	for _, c := range past {
		p := wear.Past{Stage: c.a.From.Stage, Years: c.a.Years, Course: c.res.Course(f.at, withinMM, compareConfidence)}
		then, now := c.from.whole.OffMM(f.at), c.to.whole.OffMM(f.at)
		off := f.offMM
		if off == 0 {
			off = now
		}
		p.Was = p.Course.Was(off, then, now, withinMM, compareConfidence)
		if c.a.From.DatedBy == datedByReadings {
			p.Date = c.a.From.Date
		}
		told = append(told, p)
	}
	s := wear.StoryOf(told)
	h := &FindingHistory{}
	of := s.Asked
	switch {
	case s.Changed != nil:
		of = s.Changed
	case s.Since != nil:
		of = s.Since
	case s.Bent != nil:
		of = s.Bent
	}
	h.Changed, h.FromStage, h.FromDate, h.ChangeMM, h.UMM = of.Verdict, of.Stage, of.Date, of.MM, of.UMM
	if s.Since != nil {
		h.SinceStage, h.SinceDate = s.Since.Stage, s.Since.Date
		h.NeverRight = s.Since.Stage == book.SeatedStage
	}
	if h.NeverRight && f.kind == findings.KindWorn {
		h.Finding, h.Advice = text.LowNotWorn(f.words)
	}
	h.Words = text.Story(s, h.NeverRight, f.kind == findings.KindWorn)
	return h
}

// Said is a finding with its advice as the history leaves it.
func (h *FindingHistory) Said(finding, advice string) (string, string) {
	if h != nil && h.Finding != "" {
		return h.Finding, h.Advice
	}
	return finding, advice
}

// Story is the short sentence; empty where there is no history.
func (h *FindingHistory) Story() string {
	if h == nil {
		return ""
	}
	return h.Words
}
