package answer

import (
	"context"

	"ringtrue/internal/neck"
	"ringtrue/internal/play"
	"ringtrue/internal/study"
	"ringtrue/internal/text"
)

// PlayStudyRequest asks what levelness buys on a neck: necks are drawn whose
// frets are level only to each zone.
type PlayStudyRequest struct {
	Play     PlayRequest // without readings, plan and bend
	ZonesMM  []float64   // ascending
	Necks    int         // for each zone
	Seed     uint64
	Progress func(done, all int) // may be nil
}

// PlayStudyAnswer tells how low the strings of necks can go whose frets are
// level only to each zone.
type PlayStudyAnswer struct {
	Neck        string     `json:"neck"`
	JudgeBy     string     `json:"judge_by"`
	Touch       neck.Touch `json:"-"`
	Capo        int        `json:"capo"`
	ActionFret  int        `json:"action_fret"`
	ZoneLimitMM float64    `json:"zone_limit_mm"` // what the neck file asks for
	Necks       int        `json:"necks"`         // for each zone
	Seed        uint64     `json:"seed"`
	Means       string     `json:"means"`
	Model       string     `json:"model"`
	study.Report
}

// PlayStudy draws the necks and tells how low their strings can go. Faults and
// ctx as Play.
func PlayStudy(ctx context.Context, r PlayStudyRequest) (*PlayStudyAnswer, error) {
	if err := study.Check(r.Play, r.ZonesMM, r.Necks); err != nil {
		return nil, err
	}
	// Nothing but the judging touch bears on the answer.
	n, _, err := strung(ctx, r.Play.Under(r.Play.Model.Setup.JudgeBy))
	if err != nil {
		return nil, err
	}
	lines, err := study.LinesOf(ctx, n)
	if err != nil {
		return nil, err
	}
	errors := study.Usual()
	report, err := study.Judge(ctx, study.Request{Lines: lines, ZonesMM: r.ZonesMM, Necks: r.Necks, Seed: r.Seed, Errors: errors, Progress: r.Progress})
	if err != nil {
		return nil, err
	}
	return &PlayStudyAnswer{Neck: n.Model.Name, JudgeBy: n.Model.Setup.JudgeBy, Touch: n.Model.Setup.Touch[0], Capo: n.Capo,
		ActionFret: play.ActionFret(n.Layout), ZoneLimitMM: n.Model.Level.Zone, Necks: r.Necks, Seed: r.Seed,
		Means: text.StudyMeans, Model: text.StudyModel(errors), Report: *report}, nil
}
