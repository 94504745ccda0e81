package salvage

import (
	"ringtrue/internal/book/archive"
)

// Parts of a record that can be gone.
const (
	GoneRecord    = "record" // serial, stage, note, tags and times: its row
	GoneNeck      = "neck file"
	GoneReadings  = "readings"
	GoneResults   = "results"   // worked out from the files
	GoneCorrected = "corrected" // the record that it corrects
	GoneNumber    = "number"
)

// Loss is what is gone of one record, as JSON has it. Serial and stage are those of
// the damaged row, or of an index.
type Loss struct {
	archive.Fault
	Gone string `json:"gone"`
}

// Salvaged is what came back, as JSON has it.
type Salvaged struct {
	Records   int             `json:"records"`    // given back
	Hurt      []Loss          `json:"hurt"`       // of these: a part is gone
	Lost      []Loss          `json:"lost"`       // not given back
	Notes     int             `json:"notes"`      // given back
	LostNotes []archive.Fault `json:"lost_notes"` // not given back
	Heard     int             `json:"heard"`      // play-throughs given back
	HurtHeard []archive.Fault `json:"hurt_heard"` // of these: the recording is gone
	LostHeard []archive.Fault `json:"lost_heard"` // not given back
	Free      [][2]int64      `json:"free"`       // stretches of numbers without a trace: never used, or lost
	Cut       bool            `json:"cut"`        // the file's end is missing
}

// Whole reports whether all came back as it was.
func (s *Salvaged) Whole() bool {
	return len(s.Hurt)+len(s.Lost)+len(s.LostNotes)+len(s.HurtHeard)+len(s.LostHeard) == 0 && !s.Cut
}
