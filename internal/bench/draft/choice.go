package draft

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
)

// choice is what was asked for at the last pass, as it is kept beside the journals.
// It is a convenience: where it cannot be written or read, nothing is lost.
type choice struct {
	Pass  Pass `json:"pass"`
	Whole bool `json:"whole"` // every lane under a string
	Outer bool `json:"outer"` // the outer lanes first
	From  bool `json:"from"`  // from the neck's first fret
	To    bool `json:"to"`    // to its last
}

const choiceFile = "last-pass.json"

// Remember keeps what a pass of a neck asked for, for the next one on any neck.
func (f *Folder) Remember(p Pass, s *State) error {
	lanes := slices.Sorted(slices.Values(p.Lanes))
	c := choice{p, slices.Equal(lanes, s.wholeLanes()), !slices.Equal(lanes, p.Lanes), p.From == s.Layout.FirstFret(), p.To == s.Layout.LastFret()}
	data, err := json.Marshal(c)
	if err != nil {
		return err
	}
	name := f.Path(choiceFile)
	if err := os.WriteFile(name+".new", data, entryMode); err != nil {
		return err
	}
	return os.Rename(name+".new", filepath.Clean(name))
}

// Remembered is the pass last asked for, made to fit a neck; false where there is
// none, or it cannot be read so. Air and state are left out where they were of
// another day or neck: what is not known must not be written down as read.
func (f *Folder) Remembered(s *State, today string) (Pass, bool) {
	data, err := os.ReadFile(f.Path(choiceFile))
	if err != nil {
		return Pass{}, false
	}
	var c choice
	if json.Unmarshal(data, &c) != nil {
		return Pass{}, false
	}
	p, b := c.Pass, s.Bounds()
	p.Number, p.Label, p.Stage, p.Turned, p.State = 0, "", s.Stage(), false, ""
	if n := len(s.Passes); n > 0 && s.Passes[n-1].Stage == s.Stage() {
		p.State = s.Passes[n-1].State
	}
	if p.Date != today {
		p.Temperature, p.Humidity = "", ""
	}
	p.Date = ""
	if c.Whole {
		p.Lanes = s.wholeLanes()
	} else {
		p.Lanes = slices.DeleteFunc(slices.Clone(p.Lanes), func(l float64) bool { return l > float64(b.Strings) })
	}
	if slices.Sort(p.Lanes); c.Outer {
		p.Lanes = OuterFirst(p.Lanes)
	}
	if p.From = max(p.From, b.FirstFret); c.From {
		p.From = b.FirstFret
	}
	if p.To = min(p.To, b.LastFret); c.To {
		p.To = b.LastFret
	}
	return p, s.check(p) == nil
}

// wholeLanes are the lanes under the strings, the treble string's first.
func (s *State) wholeLanes() (lanes []float64) {
	for i := range s.Layout.Strings() {
		lanes = append(lanes, float64(i+1))
	}
	return lanes
}

// OuterFirst puts the outer lanes of ascending ones first: they show most faults.
func OuterFirst(lanes []float64) []float64 {
	n := len(lanes)
	if n < 3 {
		return lanes
	}
	return slices.Concat(lanes[:1], lanes[n-1:], lanes[1:n-1])
}

// Plain is the pass that asks for nothing special: every crown, by a method.
func (s *State) Plain(method, unit string) Pass {
	return Pass{Method: method, Unit: unit, Lanes: s.wholeLanes(), From: s.Layout.FirstFret(), To: s.Layout.LastFret(), Every: 1}
}
