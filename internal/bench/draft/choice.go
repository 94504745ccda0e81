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
	Outer bool `json:"outer"` // the outer lanes first
}

const choiceFile = "last-pass.json"

// Remember keeps what a pass of a neck asked for, for the next one on any neck.
func (f *Folder) Remember(p Pass) error {
	c := choice{p, !slices.IsSorted(p.Lanes)}
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

// Remembered is how the last pass was read: its gauge, unit, order and hand, for all
// lanes and frets of a neck, since which crowns it read says nothing of the next one;
// false where there is none, or it cannot be read so. The state is this neck's own; air
// is left out where it was of another day: what is not known must not be written down.
func (f *Folder) Remembered(s *State, today string) (Pass, bool) {
	data, err := os.ReadFile(f.Path(choiceFile))
	if err != nil {
		return Pass{}, false
	}
	var c choice
	if json.Unmarshal(data, &c) != nil {
		return Pass{}, false
	}
	p := c.Pass
	p.Number, p.Label, p.Stage, p.Turned, p.State = 0, "", s.Stage(), false, ""
	if n := len(s.Passes); n > 0 && s.Passes[n-1].Stage == s.Stage() {
		p.State = s.Passes[n-1].State
	}
	if p.Date != today {
		p.Temperature, p.Humidity = "", ""
	}
	p.Date = ""
	p.Lanes, p.From, p.To = s.wholeLanes(), s.Layout.FirstFret(), s.Layout.LastFret()
	if c.Outer {
		p.Lanes = OuterFirst(p.Lanes)
	}
	return p, s.check(p) == nil
}

// Narrowed is a pass of some lanes and one span of frets, in the order that it has:
// the pass as it was where its gauge cannot read there.
func (s *State) Narrowed(p Pass, lanes []float64, from, to int) Pass {
	n := p
	n.Lanes, n.From, n.To, n.Every = lanes, from, to, 1
	if !slices.IsSorted(p.Lanes) {
		n.Lanes = OuterFirst(lanes)
	}
	if s.check(n) != nil {
		return p
	}
	return n
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
