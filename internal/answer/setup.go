package answer

import (
	"context"
	"slices"

	"ringtrue/internal/findings"
	"ringtrue/internal/num"
	"ringtrue/internal/play"
	"ringtrue/internal/setup"
	"ringtrue/internal/straight"
	"ringtrue/internal/text"
	"ringtrue/internal/tune"
)

// SetupRequest is what `setup` is asked: a neck as for Play, and how its strings lie.
type SetupRequest struct {
	PlayRequest
	Measured      []setup.Measured
	Doubt         setup.Doubt
	BridgeTopMM   num.Opt // how far the crowns' line passes above the bridge's top
	SaddleLeastMM num.Opt // what has to show of the saddle; missing: as usual
	Lowest        bool    // as low as every note is clear, in place of setup.action
}

// SetupString is one string: how it lies, how it should, what to take off.
type SetupString struct {
	Pitch string `json:"pitch"`
	setup.Measured
	FirstWantedMM num.Opt    `json:"first_gap_wanted_mm"`
	HeldWantedMM  num.Opt    `json:"held_gap_wanted_mm"`
	HeldStopMM    num.Opt    `json:"held_gap_stop_mm"` // where this pass at the slot ends
	ActionWanted  float64    `json:"action_wanted_mm"`
	NutIsMM       num.Opt    `json:"nut_is_mm"`
	NutWantedMM   num.Opt    `json:"nut_wanted_mm"`
	SlotDeeperMM  num.Opt    `json:"slot_deeper_mm"` // below 0 it is too deep by so much
	UMM           num.Opt    `json:"u_mm"`           // of slot_deeper_mm
	SlotShortMM   num.Opt    `json:"slot_stop_short_mm"`
	SlotNowMM     num.Opt    `json:"slot_now_mm"`
	SlotTooDeep   num.Opt    `json:"slot_too_deep,omitzero"` // the chance that slot_now_mm already is too deep
	Slot          setup.Deed `json:"slot,omitempty"`
	SaddleIsMM    float64    `json:"saddle_is_mm"`
	SaddleWanted  float64    `json:"saddle_wanted_mm"`
	SaddleLowerMM float64    `json:"saddle_lower_mm"`
	USaddleMM     float64    `json:"u_saddle_mm"`
	SaddleShortMM float64    `json:"saddle_stop_short_mm"`
	SaddleNowMM   float64    `json:"saddle_now_mm"`
	Saddle        setup.Deed `json:"saddle"`
	SetbackMM     num.Opt    `json:"saddle_setback_mm"` // saddle alone, as in tune
	BothSaddleMM  num.Opt    `json:"both_saddle_setback_mm"`
	BothNutMM     num.Opt    `json:"both_nut_setback_mm"`
	LowestMM      num.Opt    `json:"lowest_clear_action_mm"`
	KinkMM        num.Opt    `json:"kink_mm"` // the most that it stands too high until pressed down at its ends
	Misread       bool       `json:"misread,omitempty"`
}

// SetupAnswer is what `setup` says of a neck.
type SetupAnswer struct {
	Neck          string               `json:"neck"`
	PerfectCrowns bool                 `json:"perfect_crowns"`
	Frets         straight.Verdict     `json:"frets,omitempty"` // as frets judges the readings
	ReliefMM      float64              `json:"relief_mm"`
	ActionFret    int                  `json:"action_fret"`
	ZeroFret      bool                 `json:"zero_fret"`
	Lowest        bool                 `json:"lowest"`
	Strings       []SetupString        `json:"strings"`
	NotMeasured   []int                `json:"not_measured"`
	JudgeBy       string               `json:"judge_by"`
	Notes         map[play.Verdict]int `json:"notes"` // of the neck so set
	Left          play.Left            `json:"left_unjudged,omitzero"`
	Cannot        []setup.Cannot       `json:"cannot"`
	Angle         *setup.Angle         `json:"angle,omitempty"`
	Doubt         setup.Doubt          `json:"doubt"`
	Steps         []string             `json:"steps"` // the deeds in order
	NotJudged     []play.Unjudged      `json:"not_judged"`
	Warnings      []string             `json:"warnings"`
	Sheet         *setup.Sheet         `json:"-"`
}

// Setup says what to take off each nut slot and the saddle so that the strings lie as
// the neck file's [setup] wants, and how the neck so set plays. Faults as Play's;
// setup.ErrNothing; a string measured in part; setup.Questions, before anything else.
func Setup(ctx context.Context, r SetupRequest) (*SetupAnswer, error) {
	limits := setup.LimitsOf(r.Model.Scale.Bass, r.Model.Setup.Action, play.ActionFret(r.Layout))
	if q := limits.Question(r.Measured); len(q) > 0 {
		return nil, q
	}
	n, f, warnings, err := laid(ctx, r.Under(r.Model.Setup.JudgeBy), false)
	if err != nil {
		return nil, err
	}
	if err = n.Prepare(); err != nil {
		return nil, err
	}
	report, err := n.Judge(ctx)
	if err == nil && r.Lowest {
		setup.LowestActions(n, report)
		report, err = n.Judge(ctx)
	}
	if err != nil {
		return nil, err
	}
	bridge := setup.Bridge{TopMM: r.BridgeTopMM, LeastMM: r.SaddleLeastMM.Or(setup.LeastShows(r.Model))}
	s, err := setup.SheetOf(n, r.Measured, crownDoubt(f), r.Doubt, bridge)
	if err != nil {
		return nil, err
	}
	s.Lowest, s.FretsOff, s.Cannot = r.Lowest, f != nil && f.Verdict == straight.NotLevel, setup.CannotOf(report)
	for i, c := range s.Cannot {
		s.Cannot[i].Why = text.CannotBeHad(c)
	}
	a := &SetupAnswer{Neck: r.Model.Name, PerfectCrowns: !r.Read, ReliefMM: s.ReliefMM, ActionFret: s.Over, ZeroFret: s.ZeroFret, Lowest: r.Lowest,
		NotMeasured: s.Missing, JudgeBy: report.JudgeBy, Left: report.Left, Cannot: s.Cannot, Angle: s.Angle, Doubt: r.Doubt, NotJudged: n.Open,
		Steps: text.SetupSteps(s), Warnings: append(warnings, text.SetupWarnings(s)...), Sheet: s, Strings: []SetupString{}}
	a.Notes, _ = report.Count(report.JudgeBy)
	if f != nil {
		a.Frets = f.Verdict
	}
	for i, c := range s.Cuts {
		a.Strings = append(a.Strings, setupString(n, report.Strings[c.String-1], c, s.Kinks[i]))
	}
	return a, nil
}

// Passed reports whether `setup --check` is satisfied: the frets are level, every
// string can be had as wanted, no measurement contradicts another, and nothing is left
// to do.
func (a *SetupAnswer) Passed() bool {
	frets := a.PerfectCrowns || a.Frets == straight.Level
	misread := slices.ContainsFunc(a.Strings, func(s SetupString) bool { return s.Misread })
	return len(a.Cannot)+len(a.NotMeasured)+len(a.NotJudged) == 0 && frets && !misread && a.Sheet.Done() && !a.Sheet.Early()
}

// Place is a string's figure of one of the rows of places; missing for no such row.
func (s SetupString) Place(row string) num.Opt {
	switch row {
	case text.SetupSaddleBack:
		return s.SetbackMM
	case text.SetupBothSaddle:
		return s.BothSaddleMM
	case text.SetupBothNut:
		return s.BothNutMM
	case text.SetupLeast:
		return num.Some(num.RoundUp(s.LowestMM.OrNaN(), 100))
	}
	return num.Opt{}
}

// crownDoubt is the covariance of each string's crowns; none of perfect ones.
func crownDoubt(f *findings.Neck) func(number int) func(int, int) float64 {
	return func(number int) func(int, int) float64 {
		if f != nil {
			for _, l := range f.Lanes {
				if l.Lane.Lane == float64(number) {
					return setup.CovOf(l.Frets, l.Cov)
				}
			}
		}
		return nil
	}
}

func setupString(n *play.Neck, of play.StringReport, c setup.Cut, kink num.Opt) SetupString {
	s := SetupString{Pitch: of.Pitch, Measured: c.Measured, FirstWantedMM: c.FirstWantedMM, HeldWantedMM: c.FeelerMM, HeldStopMM: c.FeelerNowMM,
		ActionWanted: c.ActionWantedMM, SaddleIsMM: c.Saddle.IsMM, SaddleWanted: c.Saddle.WantedMM, SaddleLowerMM: c.Saddle.TakeMM, USaddleMM: c.Saddle.UMM,
		SaddleShortMM: c.Saddle.ShortMM, SaddleNowMM: c.Saddle.NowMM, Saddle: c.Saddle.Deed, LowestMM: of.LowestClearActionMM, KinkMM: kink, Misread: c.Misread}
	if e := c.Slot; e != nil {
		s.NutIsMM, s.NutWantedMM, s.SlotDeeperMM, s.UMM = num.Some(e.IsMM), num.Some(e.WantedMM), num.Some(e.TakeMM), num.Some(e.UMM)
		s.SlotShortMM, s.SlotNowMM, s.SlotTooDeep, s.Slot = num.Some(e.ShortMM), num.Some(e.NowMM), e.TooDeep, e.Deed
	}
	t, err := tune.Report(n, c.String, tune.Finger{})
	if err != nil {
		return s // no setback brings it in tune: the sheet goes without
	}
	s.SetbackMM = num.Some(t.SetbackMM)
	if t.Both != nil {
		s.BothSaddleMM, s.BothNutMM = num.Some(t.Both.SaddleMM), num.Some(t.Both.NutMM)
	}
	return s
}
