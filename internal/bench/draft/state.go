package draft

import (
	"bytes"
	"slices"
	"strconv"
	"time"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

// State is what a neck in work is after its changes so far.
type State struct {
	ID      string
	Opened  time.Time
	Changed time.Time
	Serial  string
	File    string // the neck file's name
	Data    []byte // and its bytes
	Model   neck.Model
	Layout  *geometry.Layout
	Version int
	Read    int // version of the last change of a reading
	Stages  []Stage
	Passes  []*Pass
	Booked  []Event
	Studies []*StudyProgress
	Damages []Damage
	Noted   int  // of the damages, those that the maker has read of
	LeftOut int  // changes that could not be made, since one that they need is lost
	Example bool // to try the bench on: no neck of the maker's

	entries  map[int]map[Site]*Entry // by pass
	sites    map[int][]Site          // by pass
	imports  []imported
	labels   map[string]bool       // of passes, in all stages
	ticks    map[int]map[Tick]bool // by stage; Off is never set
	undone   map[int]bool
	lastUsed int // version of the last change that undo would take back
}

// Stage is a stretch of work on the neck: its readings belong together.
type Stage struct{ Word string }

// Entry is one reading as it was typed.
type Entry struct {
	Reading, NoGo, Unit string
	Misread             bool   // marked as wrong: not in the file until taken again
	Stands              bool   // it was asked of, and is kept
	First               *Entry // a first try that this one agrees with: both are in the file
	Version             int    // of its last change
	Taken               int    // the version at which the reading was taken
	Screen              string
	At                  time.Time

	reading reading.Reading // what it says, in mm
}

// Said is the reading with its unit, for people: "0.442 mm".
func (e *Entry) Said() string {
	switch {
	case e.Reading == "rocks" || e.Reading == "still":
		return e.Reading
	case e.NoGo != "":
		return e.Reading + " to " + e.NoGo + " " + e.Unit
	}
	return e.Reading + " " + e.Unit
}

// imported is a readings file that was taken in.
type imported struct {
	name     string
	stage    int
	readings []reading.Reading
	version  int
}

// Bounds is what a reading of this neck may name.
func (s *State) Bounds() reading.Bounds {
	return reading.Bounds{FirstFret: s.Layout.FirstFret(), LastFret: s.Layout.LastFret(), Strings: s.Layout.Strings()}
}

// Stage is the number of the stage in work, from 0.
func (s *State) Stage() int { return len(s.Stages) - 1 }

// Pass gives a pass by its number, nil where there is none.
func (s *State) Pass(number int) *Pass {
	for _, p := range s.Passes {
		if p.Number == number {
			return p
		}
	}
	return nil
}

// Entry gives the reading of a site in a pass, nil where there is none.
func (s *State) Entry(pass int, at Site) *Entry { return s.entries[pass][at] }

// Count is how many readings of a pass count, marked ones left out.
func (s *State) Count(pass int) int {
	n := 0
	for _, e := range s.entries[pass] {
		if !e.Misread {
			n++
		}
	}
	return n
}

// Readings is how many readings a stage has.
func (s *State) Readings(stage int) int {
	n := 0
	for _, p := range s.Passes {
		if p.Stage == stage {
			n += s.Count(p.Number)
		}
	}
	return n + s.Filed(stage)
}

// Filed is how many of a stage's readings came by file.
func (s *State) Filed(stage int) int {
	n := 0
	for _, f := range s.imports {
		if f.stage == stage {
			n += len(f.readings)
		}
	}
	return n
}

// apply makes a change. An error says why it cannot be; the state is then as it
// was.
func (s *State) apply(e Event) error {
	if (s.Version == 0) != (e.Kind == Opened) {
		return refused("a neck is opened once, and first")
	}
	var err error
	switch e.Kind {
	case Opened:
		err = s.open(e)
	case Named:
		s.Serial = e.Serial
	case Begun:
		err = s.begin(e)
	case Set, Misread:
		err = s.set(e)
	case Taken:
		err = s.take(e)
	case Staged:
		s.Stages = append(s.Stages, Stage{e.Name})
	case Booked:
		s.Booked = append(s.Booked, e)
	case Damaged:
		if e.Damage == nil {
			return refused("no damage named")
		}
		s.Damages = append(s.Damages, *e.Damage)
	case Noted:
		s.Noted = e.Of
	case Ticked:
		err = s.tick(e)
	case StudyBegun:
		err = s.beginStudy(e)
	case Tried:
		err = s.try(e)
	case Undone:
		s.undone[e.Of] = true // the caller builds the state anew
	default:
		err = refused("unknown kind of change %q", e.Kind)
	}
	if err != nil {
		return err
	}
	s.Version, s.Changed = e.Version, e.At
	if e.Kind.canUndo() {
		s.lastUsed = e.Version
	}
	switch e.Kind {
	case Set, Misread, Taken, Undone:
		s.Read = e.Version
	}
	return nil
}

func (s *State) open(e Event) error {
	m, err := neck.Parse(e.Name, e.Data)
	if err != nil {
		return err
	}
	l, err := geometry.New(m)
	if err != nil {
		return refused("%s: %v", e.Name, err)
	}
	s.Opened, s.Serial, s.File, s.Data, s.Example = e.At, e.Serial, e.Name, e.Data, e.Example
	s.Model, s.Layout = m, l
	s.Stages = []Stage{{firstStage}}
	s.entries, s.sites, s.labels = map[int]map[Site]*Entry{}, map[int][]Site{}, map[string]bool{}
	s.ticks = map[int]map[Tick]bool{}
	if s.undone == nil {
		s.undone = map[int]bool{}
	}
	return nil
}

// firstStage is the stage of a neck that was just fretted.
const firstStage = "seated"

func (s *State) begin(e Event) error {
	if e.Plan == nil {
		return refused("a pass must say what it reads")
	}
	p := *e.Plan
	if p.Number < 1 || s.Pass(p.Number) != nil || s.labels[p.Label] || p.Stage != s.Stage() {
		return refused("pass %d exists already", p.Number)
	}
	if err := s.check(p); err != nil {
		return err
	}
	s.Passes = append(s.Passes, &p)
	s.entries[p.Number], s.sites[p.Number] = map[Site]*Entry{}, s.walk(&p)
	s.labels[p.Label] = true
	return nil
}

func (s *State) set(e Event) error {
	p := s.Pass(e.Pass)
	if p == nil {
		return refused("no such pass %d", e.Pass)
	}
	if !slices.Contains(s.Sites(p), e.Site) {
		return refused("pass %d does not read there", e.Pass)
	}
	old := s.entries[e.Pass][e.Site]
	if e.Kind == Misread {
		if old == nil {
			return refused("no reading to mark")
		}
		marked := *old
		marked.Misread, marked.Version, marked.Screen, marked.At = true, e.Version, e.Screen, e.At
		s.entries[e.Pass][e.Site] = &marked
		return nil
	}
	n := &Entry{Reading: e.Reading, NoGo: e.NoGo, Unit: e.Unit, Version: e.Version, Taken: e.Version, Screen: e.Screen, At: e.At}
	if n.Stands = e.Stands || e.Again; e.Again {
		if old == nil || old.Misread {
			return refused("no first reading")
		}
		first := *old
		first.First, first.Stands = nil, true
		n.First = &first
	} else if old != nil && e.Stands {
		n.First, n.Taken = old.First, old.Taken
	}
	var err error
	if n.reading, err = s.Reading(p, e.Site, n); err != nil {
		return err
	}
	s.entries[e.Pass][e.Site] = n
	return nil
}

// take reads a readings file into the stage in work. Labels of its passes that
// are in use already are changed, so that set-ups of a gauge stay apart.
func (s *State) take(e Event) error {
	set, err := reading.Parse(e.Name, bytes.NewReader(e.Data), s.Bounds())
	if err != nil {
		return err
	}
	given := map[string]string{}
	for i := range set.Readings {
		r := &set.Readings[i]
		label, known := given[r.Pass]
		if !known {
			label = s.freeLabel(r.Pass)
			given[r.Pass] = label
			s.labels[label] = true
		}
		r.Pass = label
	}
	s.imports = append(s.imports, imported{e.Name, s.Stage(), set.Readings, e.Version})
	return nil
}

// freeLabel is a pass's label, or one like it that is not in use.
func (s *State) freeLabel(wanted string) string {
	label := wanted
	for n := 2; s.labels[label]; n++ {
		label = strconv.Itoa(n)
		if wanted != "" {
			label = wanted + "." + strconv.Itoa(n)
		}
	}
	return label
}

// Files names the readings files taken in, in order.
func (s *State) Files() []string {
	var names []string
	for _, f := range s.imports {
		names = append(names, f.name)
	}
	return names
}
