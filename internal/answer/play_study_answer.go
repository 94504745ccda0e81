package answer

import (
	"fmt"

	"ringtrue/internal/neck"
	"ringtrue/internal/num"
)

// PlayStudyAnswer tells how low the strings of necks can go whose frets are
// level only to each zone.
type PlayStudyAnswer struct {
	Neck        string            `json:"neck"`
	JudgeBy     string            `json:"judge_by"`
	Touch       neck.Touch        `json:"-"`
	Capo        int               `json:"capo"`
	ActionFret  int               `json:"action_fret"`
	ZoneLimitMM float64           `json:"zone_limit_mm"` // what the neck file asks for
	Necks       int               `json:"necks"`         // for each zone
	Seed        uint64            `json:"seed"`
	Means       string            `json:"means"`
	Model       string            `json:"model"`
	Strings     []PlayStudyString `json:"strings"`
	Zones       []PlayStudyZone   `json:"zones"`
	Buys        *PlayStudyBuys    `json:"buys,omitempty"` // nil where too many necks clear at no action, or all crowns are perfect
}

// PlayStudyString is one string over perfect crowns.
type PlayStudyString struct {
	String          int     `json:"string"`
	Pitch           string  `json:"pitch"`
	PerfectActionMM float64 `json:"perfect_action_mm"` // the lowest clear one
	ActionMM        float64 `json:"action_mm"`         // as set up
}

// PlayStudyZone is what a zone allows.
type PlayStudyZone struct {
	ZoneMM  float64           `json:"zone_mm"`
	Strings []PlayStudyLevels `json:"strings"`
	// By how much the strings must rise above where perfect crowns would let them
	// lie, the string of each neck that needs most.
	Raise          []PlayStudyLevel `json:"raise"`
	ClearAsSetPct  float64          `json:"clear_as_set_pct"` // necks on which no string touches at setup.action
	ClearAsSetUPct float64          `json:"clear_as_set_u_pct"`
}

// PlayStudyLevels are one string's actions.
type PlayStudyLevels struct {
	String int              `json:"string"`
	Levels []PlayStudyLevel `json:"levels"`
}

// PlayStudyLevel is the lowest action that a share of the necks can be set to;
// nil where that share clears at no action. Low and High hold the value that all
// necks would give, with 95 % confidence; nil where the draws do not bound it.
type PlayStudyLevel struct {
	SharePct float64 `json:"share_pct"`
	ActionMM num.Opt `json:"action_mm"`
	LowMM    num.Opt `json:"low_mm"`
	HighMM   num.Opt `json:"high_mm"`
}

// PlayStudyBuys is what the levelness between two zones is worth in action, on
// the string that needs most, with its standard uncertainty for the draws.
type PlayStudyBuys struct {
	SharePct     float64 `json:"share_pct"`
	FromZoneMM   float64 `json:"from_zone_mm"`
	ToZoneMM     float64 `json:"to_zone_mm"`
	RaiseMM      float64 `json:"raise_mm"`
	URaiseMM     float64 `json:"u_raise_mm"`
	PaperMM      float64 `json:"paper_mm"` // a third of a sheet
	PaperBuysMM  float64 `json:"paper_buys_mm"`
	UPaperBuysMM float64 `json:"u_paper_buys_mm"`
}

// Sentence says it in plain words.
func (a *PlayStudyAnswer) Sentence() string {
	b := a.Buys
	switch {
	case b == nil && len(a.Zones) == 1 && a.Zones[0].ZoneMM == 0:
		return "A zone of 0 is the perfect neck; there is nothing to compare."
	case b == nil:
		return "Too many of the necks clear at no action: look at the nut gap."
	}
	than := fmt.Sprintf("at one of %g mm", b.FromZoneMM)
	if b.FromZoneMM == 0 {
		than = "over perfect crowns"
	}
	return fmt.Sprintf("For %.0f of 100 necks to ring clear, the string that needs most must stand %.3f ± %.3f mm higher at a zone of %g mm than %s: "+
		"a third of a sheet of paper (%.3f mm) of levelness buys %.3f ± %.3f mm of action (± one standard uncertainty, from drawing %d necks).",
		b.SharePct, b.RaiseMM, b.URaiseMM, b.ToZoneMM, than, b.PaperMM, b.PaperBuysMM, b.UPaperBuysMM, a.Necks)
}
