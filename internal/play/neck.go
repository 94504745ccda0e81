package play

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
	"ringtrue/internal/stringset"
)

// Request is how a neck is to be played.
type Request struct {
	Model  neck.Model
	Layout *geometry.Layout
	// Readings of the crowns; with Read false the crowns are perfect.
	Readings []reading.Reading
	Read     bool
	A4Hz     float64       // 0: 440 Hz
	Capo     int           // the fret it stands behind; 0: none
	Set      []neck.String // strings to try in place of the neck's; nil: its own
	Damping  *neck.Damping // of those strings; nil: the neck's
	Bend     float64       // semitones to bend every note by; 0: none
	Planned  bool          // judge the neck as the levelling plan will leave it
	Shop     neck.Shop     // whose tools carry it out; the zero value: the usual ones
}

// Neck is a neck with its strings on.
type Neck struct {
	Request
	Strings []stringset.String // every one
	Lanes   []Lane             // under each; its crowns may be unknown
	Open    []Unjudged         // the notes that cannot be judged, or not against every fret
	Cases   []Case             // of the strings that can be judged
	Judged  []Judged           // of each case
	MayBe   [][]Lane           // under each string, drawn as it may truly lie; nil: the crowns are taken as certain
	judge   int                // index of the judging touch
}

// NewNeck tunes the strings of a neck over perfect crowns. Faults of the neck
// file come back as a fileerr.List whose faults name a key but neither file nor
// line; a call that makes no sense on this neck as another error.
func NewNeck(r Request) (*Neck, error) {
	n := &Neck{Request: r, Open: []Unjudged{}}
	if err := n.check(); err != nil {
		return nil, err
	}
	for i := range r.Layout.Strings() {
		n.Lanes = append(n.Lanes, LaneOf(r.Model, r.Layout, i+1, FretsOf(n.Layout), nil))
	}
	return n, n.tune()
}

func (n *Neck) check() error {
	last := n.Layout.LastFret()
	switch {
	case n.Planned && !n.Read:
		return errors.New("a neck as planned needs readings to plan from")
	case n.Capo < 0 || n.Capo >= last:
		return fmt.Errorf("no note is left above a capo at fret %d: write a fret from 1 to %d", n.Capo, last-1)
	case n.Bend < 0 || n.Bend > 12 || math.IsNaN(n.Bend):
		return fmt.Errorf("a bend of %g semitones; it may be 0 to 12", n.Bend)
	case n.A4Hz != 0 && !(n.A4Hz >= 200 && n.A4Hz <= 900):
		return fmt.Errorf("A4 at %g Hz; it may be 200 to 900 Hz", n.A4Hz)
	case n.Set != nil && len(n.Set) != n.Layout.Strings():
		return fmt.Errorf("the set has %d strings, the neck %d", len(n.Set), n.Layout.Strings())
	}
	setup := n.Model.Setup
	n.judge = slices.IndexFunc(setup.Touch, func(t neck.Touch) bool { return t.Name == setup.JudgeBy })
	if n.judge < 0 {
		return fileerr.List{{Key: "setup.judge_by", Msg: fmt.Sprintf("there is no touch %q", setup.JudgeBy)}}
	}
	return nil
}

// tune works out every string. The neck file's tensions hold at A4 = 440 Hz;
// another A4, and another pitch of the same string, leave its mass and
// stiffness as they are.
func (n *Neck) tune() error {
	var faults fileerr.List
	for i, own := range n.Model.Strings.Set {
		scale := n.Layout.LaneScale(float64(i + 1))
		s, err := stringset.Tune(own, scale, stringset.ConcertA)
		if err == nil && n.Set != nil {
			s, err = retune(n.Set[i], own, s, scale)
		}
		if err == nil && n.A4Hz > 0 {
			s = s.Retuned(n.A4Hz / stringset.ConcertA)
		}
		if err != nil {
			faults.Add("", 0, "strings.set", "string %d: %s", i+1, err)
		}
		n.Strings = append(n.Strings, s)
	}
	return faults.Err()
}

// PitchAlone says that a string of a set is the neck's own at another pitch.
func PitchAlone(s neck.String) bool { return s.Gauge == 0 && s.Tension == 0 && s.Mass == 0 }

// retune is a string of another set, or the neck's own where it names a pitch
// alone.
func retune(s, own neck.String, ownTuned stringset.String, scale float64) (stringset.String, error) {
	if PitchAlone(s) {
		s.Gauge, s.Wound, s.Core, s.Wrap = own.Gauge, own.Wound, own.Core, own.Wrap
		s.Mass = ownTuned.MassGPerM
		if s.Stiffness == 0 {
			s.Stiffness = ownTuned.StiffnessNMM2
		}
		out, err := stringset.Tune(s, scale, stringset.ConcertA)
		out.Wrap, out.WrapTaken = ownTuned.Wrap, ownTuned.WrapTaken
		return out, err
	}
	if s.Wound && s.Wrap == "" {
		s.Wrap = own.Wrap // a maker's sets are of one kind
	}
	return stringset.Tune(s, scale, stringset.ConcertA)
}

// Under is the request with one touch alone, by which it is judged. It plucks every
// string as it did among the others.
func (r Request) Under(name string) Request {
	var forces []float64
	for i := range r.Model.Strings.Set {
		for _, t := range r.touches(i + 1) {
			if t.Name == name {
				forces = append(forces, t.Force)
			}
		}
	}
	of := func(t neck.Touch) bool { return t.Name != name }
	setup := &r.Model.Setup
	setup.Touch, setup.JudgeBy = slices.DeleteFunc(slices.Clone(setup.Touch), of), name
	r.Model.Strings.Set, r.Set = withoutForce(r.Model.Strings.Set), withoutForce(r.Set)
	for k := range setup.Touch {
		if setup.Touch[k].Lift == 0 {
			setup.Touch[k].Forces = forces
		}
	}
	return r
}

// withoutForce is a set whose strings have no force of their own.
func withoutForce(set []neck.String) []neck.String {
	set = slices.Clone(set)
	for i := range set {
		set[i].Force = 0
	}
	return set
}

// touches are the touches as they pluck a string.
func (r Request) touches(number int) []neck.Touch {
	of := r.From(number)
	if of.Force == 0 {
		of.Force = r.Model.Strings.Set[number-1].Force
	}
	return r.Model.Setup.Touches(number-1, of)
}

// From is string number as it was asked for: the set's, or the neck's own.
func (r Request) From(number int) neck.String {
	if r.Set != nil {
		return r.Set[number-1]
	}
	return r.Model.Strings.Set[number-1]
}

// Strung says that readings hold the strings' bow already, to which the neck
// file's relief adds.
func (r Request) Strung() bool {
	return r.Model.Setup.Relief != 0 && slices.ContainsFunc(r.Readings, func(x reading.Reading) bool {
		return strings.EqualFold(strings.TrimSpace(x.State), "strung")
	})
}

// State is what crowns are.
type State string

// The states of a neck's crowns.
const (
	AsRead    State = "as read"
	AsPlanned State = "as planned"
	Perfect   State = "perfect crowns"
)

// State is what the neck's crowns are.
func (r Request) State() State {
	switch {
	case r.Planned:
		return AsPlanned
	case !r.Read:
		return Perfect
	}
	return AsRead
}

// Prepare lists the strings that can be judged and finds every touch that cannot
// be played and every slack string, one fault each.
func (n *Neck) Prepare() error {
	for i, l := range n.Lanes {
		if _, open := n.Unset(i + 1); !open {
			damping, _ := n.dampingOf(i + 1)
			decay, stopped := stringset.LawsOf(damping)
			n.Cases = append(n.Cases, Case{Lane: l, Setup: SetupOf(n.Model, n.Layout, i+1, n.Capo), String: n.Strings[i], Decay: decay, Stopped: stopped,
				Touches: n.touches(i + 1), Judge: n.judge, Graze: n.Model.Setup.Graze})
		}
	}
	var faults fileerr.List
	slack := map[int]bool{}
	for k := range n.Model.Setup.Touch {
		for _, c := range n.Cases {
			t := c.Touches[k]
			rest, err := c.Lane.Rest(c.Setup)
			if err != nil {
				return fileerr.List{{Key: "setup.nut_gap", Msg: err.Error()}}
			}
			err = CheckTouch(t, c.Lane, c.Lane.Stops(c.Setup, rest), c.String.TensionN)
			if errors.Is(err, ErrSlack) {
				if !slack[c.Lane.String] {
					faults.Add("", 0, "strings.set", "%s", err)
				}
				slack[c.Lane.String] = true
			} else if err != nil {
				faults.Add("", 0, "setup.touch", "%s", err)
				break
			}
		}
	}
	return faults.Err()
}

// dampingOf is the decay of a string: its own, else its set's, else the neck's, which
// is the common one.
func (n *Neck) dampingOf(number int) (d neck.Damping, common bool) {
	of := n.From(number)
	if of.Damping == nil && n.Damping == nil && n.Set != nil && PitchAlone(of) {
		of = n.Model.Strings.Set[number-1]
	}
	switch {
	case of.Damping != nil:
		return *of.Damping, false
	case n.Damping != nil:
		return *n.Damping, false
	}
	return n.Model.Strings.Damping, true
}

// CaseOf is the index of a string's case, -1 where it has none.
func (n *Neck) CaseOf(number int) int {
	return slices.IndexFunc(n.Cases, func(c Case) bool { return c.Lane.String == number })
}
