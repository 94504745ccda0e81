package answer

import (
	"ringtrue/internal/num"
	"ringtrue/internal/play"
)

// PlayAnswer is what `play` says of a neck.
type PlayAnswer struct {
	Neck            string       `json:"neck"`
	JudgeBy         string       `json:"judge_by"`       // the touch that cures and lowest actions are for
	PerfectCrowns   bool         `json:"perfect_crowns"` // no readings were given
	AsPlanned       bool         `json:"as_planned"`     // after the levelling plan
	Capo            int          `json:"capo"`
	Strings         []PlayString `json:"strings"`
	LeastMarginMM   num.Opt      `json:"least_margin_mm"` // over all touches
	LeastMetal      PlayMetal    `json:"least_metal"`
	LeastMetalClear PlayMetal    `json:"least_metal_clear"`
	Cures           *PlayCures   `json:"cures,omitempty"` // where some note is not clear at judge_by
	Worst           []PlayWorst  `json:"worst"`           // notes that are not clear at judge_by, worst first
	Bends           []PlayBend   `json:"bends,omitempty"`
	NotJudged       []NotJudged  `json:"not_judged"`
	Warnings        []string     `json:"warnings"`
}

// PlayString is one string. What cannot be told is nil: no lane was read, or no
// action is high enough.
type PlayString struct {
	String              int        `json:"string"`
	Pitch               string     `json:"pitch"`
	PitchHz             float64    `json:"pitch_hz"`
	TensionN            float64    `json:"tension_n"`
	MassGPerM           float64    `json:"mass_g_per_m"`
	StiffnessNMM2       float64    `json:"stiffness_n_mm2"`
	Inharmonicity       float64    `json:"inharmonicity"` // B of f_n = n·f0·√(1 + B·n²), open
	StressNMM2          float64    `json:"stress_n_mm2"`
	CoreMM              float64    `json:"core_mm"`
	CoreTaken           bool       `json:"core_taken"` // by rule, as the file gives none
	ScaleMM             float64    `json:"scale_mm"`
	ActionMM            float64    `json:"action_mm"`
	NutMM               num.Opt    `json:"nut_mm"`
	SaddleMM            num.Opt    `json:"saddle_mm"`
	LowestActionMM      num.Opt    `json:"lowest_action_mm"`
	LowestClearActionMM num.Opt    `json:"lowest_clear_action_mm"`
	RaiseActionMM       num.Opt    `json:"raise_action_mm"` // until every note is clear at judge_by
	SagMM               float64    `json:"sag_mm"`          // on a neck that lies flat
	QuarterTurnMS       float64    `json:"quarter_turn_ms"` // of the plane of vibration, a quarter of the pluck going sideways
	SharpCents          float64    `json:"sharp_at_pluck_cents"`
	BoardShapeMM        float64    `json:"board_shape_mm"` // how much of the lane's zone the board's own arch makes
	Notes               []PlayNote `json:"notes"`
}

// At are the string's notes under one touch.
func (s PlayString) At(touch string) (notes []PlayNote) {
	for _, n := range s.Notes {
		if n.Touch == touch {
			notes = append(notes, n)
		}
	}
	return notes
}

// PlayNote is one stop under one touch.
type PlayNote struct {
	Fret          int          `json:"fret"`
	Touch         string       `json:"touch"`
	MarginMM      num.Opt      `json:"margin_mm"` // nil where nothing lies beyond the stop
	NearestFret   *int         `json:"nearest_fret"`
	ClearMarginMM num.Opt      `json:"clear_margin_mm,omitzero"` // against the stiff string's reach, at judge_by
	Verdict       play.Verdict `json:"verdict"`                  // "clear", "grazes", "buzzes", "chokes"
	NotSeen       []int        `json:"not_seen,omitempty"`       // frets beyond the stop whose crowns are not known
	Contact       *PlayContact `json:"contact,omitempty"`
}

// PlayContact is what a note met.
type PlayContact struct {
	Frets            []int   `json:"frets"`
	FirstFret        int     `json:"first_fret"`
	FirstMS          float64 `json:"first_ms"`
	LastMS           float64 `json:"last_ms"`
	ImpulseMNS       float64 `json:"impulse_mns"`
	FirstPeriodShare float64 `json:"first_period_share"`
	WindowMS         float64 `json:"window_ms"`
	Release          string  `json:"release"`     // "away" from the board or "towards" it
	TriangleMM       float64 `json:"triangle_mm"` // its height
}

// PlayMetal is the least metal whose removal makes every judged note ring. The
// totals are nil where a crown would go too low.
type PlayMetal struct {
	Feasible      bool              `json:"feasible"`
	TotalRemoveMM num.Opt           `json:"total_remove_mm"`
	MaxRemoveMM   num.Opt           `json:"max_remove_mm"`
	Strings       []PlayStringMetal `json:"strings"`
}

// PlayStringMetal is the least metal of one string's lane.
type PlayStringMetal struct {
	String        int              `json:"string"`
	Feasible      bool             `json:"feasible"`
	TotalRemoveMM num.Opt          `json:"total_remove_mm"`
	Crowns        []PlayMetalCrown `json:"crowns"`
	Why           string           `json:"why,omitempty"` // not feasible: which note asks too much of which crown
}

// PlayMetalCrown is a crown that loses metal.
type PlayMetalCrown struct {
	Fret     int     `json:"fret"`
	RemoveMM float64 `json:"remove_mm"`
}

// PlayCures is what makes every note of the neck clear at judge_by, each cure by
// itself; nil where it cannot.
type PlayCures struct {
	RaiseActionMM num.Opt `json:"raise_action_mm"` // of the string that needs most
	ReliefMM      num.Opt `json:"relief_mm"`       // added to setup.relief; less where negative
	RaiseNutMM    num.Opt `json:"raise_nut_mm"`
	Refit         []int   `json:"refit"` // frets of which refitting one, by itself, is enough
	MetalMM       num.Opt `json:"metal_mm"`
}

// PlayWorst is a note that is not clear, and what would make it so.
type PlayWorst struct {
	String  int          `json:"string"`
	Fret    int          `json:"fret"`
	Verdict play.Verdict `json:"verdict"`
	ShortMM float64      `json:"short_mm"` // by how much the gap falls short of the stiff string's reach
	AtFret  int          `json:"at_fret"`
	Cure    string       `json:"cure"`
	Explain bool         `json:"fret_explains"` // a fret that is off explains it
	Left    []PlaceLeft  `json:"left"`
}

// PlaceLeft is what is left of the gap over a crown: gap less reach.
type PlaceLeft struct {
	Fret      int     `json:"fret"`
	FromNutMM float64 `json:"from_nut_mm"`
	GapMM     float64 `json:"gap_mm"`
	LeftMM    float64 `json:"left_mm"`
}

// PlayBend is a note pushed across the board.
type PlayBend struct {
	String       int     `json:"string"`
	Fret         int     `json:"fret"`
	Verdict      string  `json:"verdict"`        // "clear", "strikes", "frets out", "off the board"
	PushMM       float64 `json:"push_mm"`        // sideways at the stop
	MarginMM     num.Opt `json:"margin_mm"`      // ideal string
	ClearMM      num.Opt `json:"clear_mm"`       // stiff string
	NearestFret  *int    `json:"nearest_fret"`   // where the stiff string comes nearest
	AcrossMM     num.Opt `json:"across_mm"`      // how far from the centre line, treble side positive
	SaveRadiusMM num.Opt `json:"save_radius_mm"` // the tightest radius at the stop that clears it
	SaveFlat     bool    `json:"save_flat"`      // only a flat board would
	SaveFallMM   num.Opt `json:"save_fall_mm"`   // what the nearest fret would have to fall away further
}

// NotJudged names notes that could not be judged, or not against every fret.
type NotJudged struct {
	String int    `json:"string"`
	Frets  []int  `json:"frets"` // the stops
	Why    string `json:"why"`
}

// Passed reports whether `play --check` is satisfied: at judge_by no note
// buzzes or chokes, and none is left unjudged.
func (a *PlayAnswer) Passed() bool {
	if len(a.NotJudged) > 0 {
		return false
	}
	for _, s := range a.Strings {
		for _, n := range s.Notes {
			if n.Touch == a.JudgeBy && (n.Verdict == "buzzes" || n.Verdict == "chokes") {
				return false
			}
		}
	}
	return true
}
