package answer

import "ringtrue/internal/plan"

// WorkPlan is what `plan` says of a neck before a slot is sawn.
type WorkPlan struct {
	Neck        string          `json:"neck"`
	Frets       []plan.Fret     `json:"frets"`
	WireMM      float64         `json:"wire_total_mm"`
	WithWaste   float64         `json:"wire_with_waste_mm"`
	Coils       int             `json:"coils,omitempty"`
	CoilMM      float64         `json:"coil_mm,omitempty"`
	Strings     []TunedString   `json:"strings"`
	Wire        plan.Wire       `json:"wire"`
	Slots       plan.Slots      `json:"slots"`
	Fit         FitAnswer       `json:"fit"`
	Glue        GlueAnswer      `json:"glue"`
	Bevel       plan.Bevel      `json:"bevel"`
	Ends        *EndFiling      `json:"fret_ends,omitempty"` // where the seasons were given
	Alloys      []plan.Compared `json:"alloys,omitempty"`
	Notes       []string        `json:"notes"`
	Cautions    []string        `json:"cautions"`
	Slanted     bool            `json:"slanted"`
	ScaleBass   float64         `json:"scale_bass_mm"`
	ScaleTreble float64         `json:"scale_treble_mm"`
	Board       plan.Board      `json:"-"` // for a drawing
}

// TunedString is where a string's saddle goes and what it leaves over.
type TunedString struct {
	String    int          `json:"string"`
	SetbackMM float64      `json:"saddle_setback_mm"`
	LeftOver  []float64    `json:"left_over_cents"`
	FromNutMM float64      `json:"saddle_from_nut_mm"` // along its lane, setback included
	ExactFret int          `json:"exact_fret"`
	Best      *BestSetback `json:"best,omitempty"`
}

// BestSetback places saddle and nut together by least squares over all frets;
// NutMM below 0 moves the nut towards the frets.
type BestSetback struct {
	SaddleMM float64 `json:"saddle_setback_mm"`
	NutMM    float64 `json:"nut_setback_mm"`
	RMSCents float64 `json:"rms_cents"`
	MaxCents float64 `json:"max_cents"`
}

// FitAnswer is how tang and barbs sit; Why says why there is no back-bow or no
// slot width.
type FitAnswer struct {
	plan.Fit
	Why string `json:"why,omitempty"`
}

// GlueAnswer is how much glue and how it gets in.
type GlueAnswer struct {
	plan.Glue
	Put string `json:"put"`
}
