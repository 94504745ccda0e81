package answer

import (
	"context"

	"ringtrue/internal/findings"
	"ringtrue/internal/play"
	"ringtrue/internal/text"
)

// played says how the notes ring over the crowns of a judged neck, under the
// judging touch. Strings that cannot be tuned leave it out: `play` names them.
func (a *FretsAnswer) played(ctx context.Context, r *FretsRequest, n *findings.Neck, ask findings.Ask) error {
	q := PlayRequest{Model: r.Model, Layout: r.Layout, Readings: r.judgedBy(), Read: true}
	s, err := play.NewNeck(q.Under(r.Model.Setup.JudgeBy))
	if err != nil {
		return nil
	}
	if _, err = layOn(ctx, s, n, true); err == nil {
		err = s.Prepare()
	}
	var report *play.Report
	if err == nil {
		report, err = s.Judge(ctx)
	}
	if err != nil {
		return ctx.Err()
	}
	sum := s.Sum(report)
	a.Plays, a.LevelAndRing = &sum, text.LevelAndRing(n.Verdict, r.Model.Level.Zone, sum, ask.Settled(n))
	return nil
}
