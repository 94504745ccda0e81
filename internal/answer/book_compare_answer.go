package answer

import (
	"time"

	"ringtrue/internal/num"
	"ringtrue/internal/wear"
)

// BookCompareAnswer says what changed on one neck between two stages.
type BookCompareAnswer struct {
	Serial        string          `json:"serial"`
	Model         string          `json:"model"`
	From          ComparedStage   `json:"from"`
	To            ComparedStage   `json:"to"`
	Years         num.Opt         `json:"years"`       // between the two; missing where no time passed, or readings have no date
	Confidence    float64         `json:"confidence"`  // that no crown of an unchanged neck is called changed
	CriticalValue float64         `json:"guard"`       // standard uncertainties that the largest error of an unchanged neck stays within
	SeesMM        float64         `json:"sees_mm"`     // a change of neighbouring crowns that the readings would show nine times in ten
	Verdict       string          `json:"verdict"`     // "worn", "moved", "raised", "unchanged", "in doubt"
	Summary       string          `json:"summary"`     // what an unchanged neck, or one in doubt, comes to; else empty
	SameState     bool            `json:"same_state"`  // false: nothing is called worn
	Crowns        []CrownChange   `json:"crowns"`      // by fret and lane
	Frets         []FretChange    `json:"frets"`       // those that moved or are worn
	Bow           *BowChange      `json:"bow"`         // alike in the lanes, taken out of every change_mm; nil: none
	Wear          []WornCrown     `json:"wear"`        // of every worn crown, the soonest to be worn down first
	LeastCrown    *LeastCrownYear `json:"least_crown"` // nil where nothing is worn, or no least is set
	Open          []Undetermined  `json:"not_compared"`
	Warnings      []string        `json:"warnings"`

	leaves bool // at one stage a lane was read with leaves
}

// ComparedStage is one side of a comparison: the latest record of a stage that
// no other corrects.
type ComparedStage struct {
	Stage   string    `json:"stage"`
	Record  int64     `json:"record"`
	Date    time.Time `json:"date"`
	DatedBy string    `json:"dated_by"` // "readings" or "record": whose date it is
	State   string    `json:"state"`    // slack, rod set, strung; empty where not noted
}

// CrownChange is one crown's change, without the line of its lane and the bow
// common to the lanes, and why it is called so.
type CrownChange struct {
	wear.Change
	Why string `json:"why,omitempty"`
}

// FretChange is what happened to a fret, in words.
type FretChange struct {
	Fret     int       `json:"fret"`
	Finding  string    `json:"finding"`
	Advice   string    `json:"advice"`
	TrebleMM float64   `json:"treble_mm"` // how far the fret moved at its ends; 0 where only worn
	BassMM   float64   `json:"bass_mm"`
	Worn     []float64 `json:"worn_lanes"`
	moved    string    // how, in words; empty where it did not
	Ends     *FretEnds `json:"ends,omitempty"` // of a fret that moved, or that one end pressed or filed down may explain
}

// FretEnds is how far a fret's two ends moved, by the straight line through its own
// crowns' changes.
type FretEnds = wear.Ends

// BowChange is a change of the neck's relief, hollow positive.
type BowChange = wear.Bow

// WornCrown is a worn crown and how long it lasts if it is played as before.
type WornCrown = wear.WornCrown

// LeastCrownYear is when the first crown is worn down to level.least_crown.
type LeastCrownYear = wear.LeastCrownYear
