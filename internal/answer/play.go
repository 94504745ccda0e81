package answer

import (
	"context"

	"ringtrue/internal/play"
	"ringtrue/internal/text"
)

// PlayRequest is what `play` is asked.
type PlayRequest = play.Request

// PlayAnswer is what `play` says of a neck.
type PlayAnswer struct {
	play.Report
	NotJudged []play.Unjudged `json:"not_judged"`
	Warnings  []string        `json:"warnings"`
	Assumed   []play.Assumed  `json:"assumed"` // what the notes rest on that nobody gave
	// LevelAndRing is one sentence on frets and notes, as `frets` has it; missing
	// where the crowns are not as read.
	LevelAndRing string `json:"level_and_ring,omitempty"`
	Off          []int  `json:"-"` // frets that `frets` finds off
	strung       *play.Neck
}

// Play judges every note of a neck. Faults of the neck file come back as a
// fileerr.List whose faults name a key but neither file nor line. ctx ends the
// work early, with its error.
func Play(ctx context.Context, r PlayRequest) (*PlayAnswer, error) {
	n, f, warnings, err := laid(ctx, r, true)
	if err != nil {
		return nil, err
	}
	if err = n.Prepare(); err != nil {
		return nil, err
	}
	report, err := n.Judge(ctx)
	if err != nil {
		return nil, err
	}
	for i, w := range report.Worst {
		report.Worst[i].Cure = text.Cure(w)
	}
	for _, m := range []play.NeckMetal{report.LeastMetal, report.LeastMetalClear} {
		for i, s := range m.Strings {
			if !s.Feasible {
				m.Strings[i].Why = text.NoMetal(s)
			}
		}
	}
	a := &PlayAnswer{Report: *report, NotJudged: n.Open, Warnings: append(warnings, text.PlayWarnings(n, report)...), Assumed: n.Assumed(), strung: n}
	for i, x := range a.Assumed {
		a.Assumed[i].Says = text.PlayAssumed(x, n)
	}
	if f != nil && !r.Planned && r.Capo == 0 {
		q := FretsRequest{Model: r.Model, Layout: r.Layout, Readings: r.Readings}
		ask := q.askOf(f)
		a.LevelAndRing = text.LevelAndRing(f.Verdict, r.Model.Level.Zone, n.Sum(report), ask.Settled(f))
		for _, x := range ask.Found {
			a.Off = append(a.Off, x.Fret)
		}
	}
	return a, nil
}

// At is every note at another action, at once, as play.Neck tries it. It may be
// asked by several at once.
func (a *PlayAnswer) At(raiseMM float64) ([]play.StringReport, error) { return a.strung.At(raiseMM) }

// Passed reports whether `play --check` is satisfied: at judge_by no note
// buzzes or chokes, and none is left unjudged.
func (a *PlayAnswer) Passed() bool { return len(a.NotJudged) == 0 && a.Rings() }

// strung is a neck with its strings over its crowns, ready to be judged, and what
// the maker should know of the readings.
func strung(ctx context.Context, r PlayRequest) (*play.Neck, []string, error) {
	n, _, warnings, err := laid(ctx, r, false)
	if err != nil {
		return nil, nil, err
	}
	return n, warnings, n.Prepare()
}
