package draft

import "time"

// Event is one change of a neck in work, a line of its journal. Which fields
// count hangs on Kind.
type Event struct {
	Version int       `json:"v"`
	At      time.Time `json:"at"`
	Kind    Kind      `json:"kind"`
	Screen  string    `json:"screen,omitempty"` // which of the maker's screens sent it

	Name   string `json:"name,omitempty"`   // opened, taken: the file's name; stage: its word
	Serial string `json:"serial,omitempty"` // opened, named
	Data   []byte `json:"data,omitempty"`   // opened: the neck file; taken: the readings file

	Example bool `json:"example,omitempty"` // opened: it is no neck of the maker's

	Plan *Pass `json:"plan,omitempty"` // pass

	Pass    int    `json:"pass,omitempty"` // set, misread: the pass's number
	Site    Site   `json:"site,omitempty"`
	Reading string `json:"reading,omitempty"` // as typed, with a decimal point; or rocks, still
	NoGo    string `json:"no_go,omitempty"`
	Unit    string `json:"unit,omitempty"`
	Stands  bool   `json:"stands,omitempty"` // set: it was asked of, and is kept
	Again   bool   `json:"again,omitempty"`  // set: a second try that agrees with what is there; both stand

	Of int `json:"of,omitempty"` // undone: the version of the change taken back; noted: how many damages

	Record int64 `json:"record,omitempty"` // booked
	Stage  int   `json:"stage,omitempty"`  // booked, ticked: which of the neck's stages

	Ticks []Tick `json:"ticks,omitempty"` // ticked

	Damage *Damage `json:"damage,omitempty"` // damaged

	Study *Study `json:"study,omitempty"` // study; its trials name it by Stage and their place by Of
}

// Kind says what an Event changes.
type Kind string

// The kinds of change.
const (
	Opened     Kind = "opened"
	Named      Kind = "named"   // a serial was given
	Begun      Kind = "pass"    // a pass was begun
	Set        Kind = "set"     // a reading was taken, or taken again
	Misread    Kind = "misread" // a reading was marked as wrong; it leaves the file until taken again
	Taken      Kind = "taken"   // a readings file was taken in
	Staged     Kind = "stage"   // work was done: readings from here on are of a new stage
	Undone     Kind = "undone"  // an earlier change was taken back
	Booked     Kind = "booked"  // the stage was put in the book
	StudyBegun Kind = "study"   // a gauge study was begun
	Tried      Kind = "trial"   // a reading of a gauge study was taken, or taken back
	Damaged    Kind = "damaged" // lines of the journal were found damaged, and set aside
	Noted      Kind = "noted"   // the notice of damage was read; Of is how many there were
	Ticked     Kind = "ticked"  // boxes of the plan's card were ticked, or cleared
)

// canUndo reports whether a change of this kind can be taken back.
func (k Kind) canUndo() bool {
	switch k {
	case Begun, Set, Misread, Taken, Staged:
		return true
	}
	return false
}

// Pass is one go over the neck with one gauge: what it reads, in which order,
// and what is asked once.
type Pass struct {
	Number int    `json:"number"`
	Label  string `json:"label"` // in the readings file
	Stage  int    `json:"stage"`

	Method string    `json:"method"`
	Unit   string    `json:"unit"` // mm or in: what the gauge shows
	Lanes  []float64 `json:"lanes"`
	From   int       `json:"from"`
	To     int       `json:"to"`
	Every  int       `json:"every"`  // 1: each fret
	Across bool      `json:"across"` // fret after fret, not lane after lane
	U      string    `json:"u,omitempty"`
	Turned bool      `json:"turned,omitempty"`

	State       string `json:"state,omitempty"`
	By          string `json:"by,omitempty"`
	Gauge       string `json:"gauge,omitempty"`
	Date        string `json:"date,omitempty"`
	Temperature string `json:"temperature,omitempty"`
	Humidity    string `json:"humidity,omitempty"`
}
