package answer

import "ringtrue/internal/tune"

// TuneAnswer is what `play --tune` says of a neck.
type TuneAnswer struct {
	Neck          string       `json:"neck"`
	A4Hz          float64      `json:"a4_hz"`
	ExactFret     int          `json:"exact_fret"` // the fret that saddle_setback_mm makes exact
	Finger        tune.Finger  `json:"finger"`
	PerfectCrowns bool         `json:"perfect_crowns"`
	AsPlanned     bool         `json:"as_planned"`
	ZeroFret      bool         `json:"zero_fret"` // what is said of the nut holds for fret 0
	Strings       []TuneString `json:"strings"`
	NotJudged     []NotJudged  `json:"not_judged"`
	Warnings      []string     `json:"warnings"`
}

// TuneString is one string. SetbackMM and LeftOver are those of Exact, as in the
// plan.
type TuneString struct {
	String        int         `json:"string"`
	Pitch         string      `json:"pitch"`
	ScaleMM       float64     `json:"scale_mm"`
	TensionN      float64     `json:"tension_n"`
	StiffnessNMM2 float64     `json:"stiffness_n_mm2"`
	AxialN        float64     `json:"axial_stiffness_n"` // E·A of what carries the tension
	CoreMM        float64     `json:"core_mm"`
	CoreTaken     bool        `json:"core_taken"`
	NutMM         float64     `json:"nut_mm"`    // the string's height at the nut
	SaddleMM      float64     `json:"saddle_mm"` // and at the saddle
	Frets         []int       `json:"frets"`     // of the cents below
	SetbackMM     float64     `json:"saddle_setback_mm"`
	LeftOver      []float64   `json:"left_over_cents"`
	RangeMM       *[2]float64 `json:"saddle_setback_range_mm"` // the steel's modulus 5 % off either way, a core taken by rule 15 %
	None          TuneChoice  `json:"no_setback"`
	Exact         TuneChoice  `json:"exact"`          // saddle alone, exact_fret in tune
	Saddle        *TuneChoice `json:"saddle_alone"`   // least squares over all frets
	Both          *TuneChoice `json:"saddle_and_nut"` // the same, both moved; nil where frets are too few
	Deeper        PressAnswer `json:"pressing"`
}

// TuneChoice is one place of saddle and nut, each set back from its own scale
// line, and what it leaves over at each fret. A nut below 0 moves towards the
// frets.
type TuneChoice struct {
	SaddleMM   float64   `json:"saddle_setback_mm"`
	NutMM      float64   `json:"nut_setback_mm"`
	LeftOver   []float64 `json:"left_over_cents"`
	RMSCents   float64   `json:"rms_cents"`
	WorstCents float64   `json:"worst_cents"` // signed
	WorstFret  int       `json:"worst_fret"`
}

// PressAnswer is how much sharper a deeper finger makes the first fret's and
// the exact fret's note, saddle and nut on their scale lines.
type PressAnswer struct {
	DeeperMM       float64 `json:"deeper_mm"`
	FirstFretCents float64 `json:"first_fret_cents"`
	ExactFretCents float64 `json:"exact_fret_cents"`
}
