package answer

import (
	"time"

	"ringtrue/internal/findings"
	"ringtrue/internal/heights"
	"ringtrue/internal/level"
	"ringtrue/internal/num"
	"ringtrue/internal/play"
)

// FretsAnswer is what `frets` says of a neck, as JSON has it.
type FretsAnswer struct {
	Neck         string         `json:"neck"`
	Verdict      string         `json:"verdict"` // "level", "not level", "in doubt"
	ZoneLimitMM  float64        `json:"zone_limit_mm"`
	Read         time.Time      `json:"-"` // when the last reading was taken, where they say
	Lanes        []LaneAnswer   `json:"lanes"`
	Crowns       []CrownAnswer  `json:"crowns"`
	Frets        []FretFinding  `json:"frets"`
	Findings     []NeckFinding  `json:"neck_findings"` // of the whole neck: bowed, twisted, off radius
	Recheck      []Recheck      `json:"recheck"`
	Undetermined []Undetermined `json:"undetermined"`
	Passes       []PassFinding  `json:"passes"`        // whole passes that are wrong
	NextReadings []NextReading  `json:"next_readings"` // the fewest that would settle a doubt
	Plan         LevellingPlan  `json:"plan"`          // the least metal to the limit: a bound
	Work         *Work          `json:"work"`          // what to do; nil where nothing should be filed yet
	WhyNot       string         `json:"why_not,omitempty"`
	Hold         string         `json:"-"`                        // why not, beside the other lists
	RodFirst     bool           `json:"-"`                        // set the rod, then read again
	Plays        *play.Sum      `json:"plays,omitempty"`          // how the notes ring over these crowns
	LevelAndRing string         `json:"level_and_ring,omitempty"` // both in one sentence
	Time         *Time          `json:"time,omitempty"`           // of the work, where it was asked for
	Hand         *HandUsed      `json:"hand,omitempty"`           // whom the book knows, in this plan
	After        *AfterAnswer   `json:"after,omitempty"`
	Strung       *StrungShape   `json:"strung,omitempty"`  // the bow in the shape, of readings taken strung; see level.strung
	History      *FretsHistory  `json:"history,omitempty"` // what the book's earlier records say of these findings
	Warnings     []string       `json:"warnings"`
}

// LaneAnswer is one lane's straightness. ZoneMM is missing where too few crowns are
// determined.
type LaneAnswer struct {
	Lane    float64 `json:"lane"`
	ZoneMM  num.Opt `json:"zone_mm"`
	UZoneMM num.Opt `json:"u_zone_mm"`
	Verdict string  `json:"verdict"`
	BowMM   num.Opt `json:"bow_mm"`
	StepMM  num.Opt `json:"step_mm"`
	// ZoneRangeMM are the least and the largest zone that readings by leaves
	// allow; nil where no reading is a bracket.
	ZoneRangeMM []float64 `json:"zone_range_mm,omitempty"`
}

// CrownAnswer is one determined crown: its distance from the lane's reference.
type CrownAnswer struct {
	Fret    int     `json:"fret"`
	Lane    float64 `json:"lane"`
	OffMM   float64 `json:"off_mm"`
	UMM     float64 `json:"u_mm"`
	Verdict string  `json:"verdict"` // "level", "high", "low", "in doubt"
}

// FretFinding is what is wrong with a fret in the trade's words, and what to do.
type FretFinding struct {
	Fret    int       `json:"fret"`
	Kind    string    `json:"kind"`
	Finding string    `json:"finding"`
	Advice  string    `json:"advice"`
	Lanes   []float64 `json:"lanes,omitempty"`
	Open    bool      `json:"open,omitempty"` // a neighbour may be off instead, the other way
	Step    string    `json:"-"`              // what it asks of the hand, in a few words
	depthMM float64   // of a groove, a pit or a burr, up positive; 0 else
	// What the plan takes off this fret at most, and the least crown it leaves
	// there; missing where it takes nothing, or where something else than seating high
	// frets is to be mended before any file.
	FileMM     num.Opt `json:"file_at_most_mm,omitzero"`
	FileLeftMM num.Opt `json:"file_left_mm,omitzero"`
	// History is what the book's earlier records say of it; nil where there are none.
	History *FindingHistory `json:"history,omitempty"`
}

// NeckFinding is what is wrong with the neck as a whole.
type NeckFinding struct {
	Kind     string    `json:"kind"`
	Finding  string    `json:"finding"`
	Advice   string    `json:"advice"`
	AmountMM float64   `json:"amount_mm"`
	UMM      float64   `json:"u_mm"`
	Frets    []int     `json:"frets,omitempty"`
	Lanes    []float64 `json:"lanes,omitempty"`
	DepthMM  float64   `json:"depth_mm,omitempty"`
	// History is as of a FretFinding.
	History *FindingHistory `json:"history,omitempty"`
}

// PassFinding is what is wrong with a whole pass of a gauge.
type PassFinding struct {
	Pass     string  `json:"pass"`
	Lane     float64 `json:"lane"`
	Method   string  `json:"method"`
	Finding  string  `json:"finding"` // "knocked", "skipped", "swapped"
	FromFret int     `json:"from_fret"`
	Why      string  `json:"why"`
}

// Work is what to do now: frets to press, glue or replace first, then, these
// done and out of it, what to file.
type Work struct {
	First []WorkFirst `json:"first"`
	findings.Filing
	Warnings []string `json:"warnings"`
}

// WorkFirst is a fret to see to before any file.
type WorkFirst struct {
	Fret int    `json:"fret"`
	Why  string `json:"why"`
	// May be filed instead where it already sits down on the board all along.
	OrFile bool   `json:"or_file,omitempty"`
	Brief  string `json:"-"` // why, without what follows in any case
	// History is its fret's.
	History *FindingHistory `json:"history,omitempty"`
}

// Recheck is a reading that does not agree with the others and was set aside.
type Recheck struct {
	Fret       int     `json:"fret"`
	Lane       float64 `json:"lane"`
	ReadingMM  float64 `json:"reading_mm"`
	ExpectedMM float64 `json:"expected_mm"`
	Why        string  `json:"why"`
	Method     string  `json:"method"`
	Pass       string  `json:"pass"`
	Line       int     `json:"line"`
}

// Undetermined is a crown that the readings cannot tell.
type Undetermined = heights.Undetermined

// NextReading is a set of readings worth taking next.
type NextReading struct {
	Method string    `json:"method"`
	Lane   float64   `json:"lane"` // the first of Lanes
	Lanes  []float64 `json:"lanes"`
	Frets  []int     `json:"frets"`
	Passes int       `json:"passes"`
	// Reach is how many frets lie between the middle of a gauge that stands on
	// three of them and either end.
	Reach int    `json:"reach"`
	Why   string `json:"why"`
	// Must is set where they must be taken in any case: a reading was set aside,
	// or a crown is not determined. Of the others one is enough.
	Must    bool    `json:"must"`
	Minutes float64 `json:"minutes"`
	// Settles is the chance that every lane is level or not level once these, and
	// those that must be taken and stand above them, are taken; missing where it is not
	// worked out, as of a leaf that is to be tried.
	Settles num.Opt `json:"settles"`
}

// LevellingPlan is the least metal that leaves every lane's crowns within one
// zone: the limit, or a narrower one where that was asked for.
type LevellingPlan struct {
	PlannedToMM   float64       `json:"planned_to_mm"`
	SurelyToMM    num.Opt       `json:"surely_to_mm"` // plan to this, and readings like these will call it level
	TotalRemoveMM float64       `json:"total_remove_mm"`
	MaxRemoveMM   float64       `json:"max_remove_mm"`
	LeastCrownMM  float64       `json:"least_crown_mm"` // the lowest crown left anywhere
	Crowns        []PlanCrown   `json:"crowns"`
	Options       []RefitOption `json:"options"`
	Fair          *FairPlan     `json:"fair,omitempty"`
	Warnings      []string      `json:"warnings"`
}

// PlanCrown is a crown that loses metal.
type PlanCrown = level.Removal

// RefitOption is the best plan that lifts and refits exactly these frets.
type RefitOption = level.Cost

// FairPlan is the least metal whose removal also varies smoothly across each
// fret, as a file on a radius leaves it.
type FairPlan struct {
	TotalRemoveMM float64     `json:"total_remove_mm"`
	MaxRemoveMM   float64     `json:"max_remove_mm"`
	Crowns        []PlanCrown `json:"crowns"`
}

// AfterAnswer is the answer of the readings taken after levelling, those before
// counted in where they still hold, and what the hand did beside what was planned.
type AfterAnswer struct {
	FretsAnswer
	Reached bool `json:"reached"` // level, nothing to read again, nothing open
	level.Deeds
	// Earlier is how many of the readings before were counted in.
	Earlier int `json:"earlier_readings"`
	// Strokes is what the strokes that were written down took off; Untold how many of
	// them no untouched frets tell of.
	Strokes []StrokesTaken `json:"strokes,omitempty"`
	Untold  int            `json:"strokes_untold,omitempty"`
}
