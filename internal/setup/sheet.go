package setup

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/num"
	"ringtrue/internal/play"
)

// Sheet is what to do to a neck so that its strings lie as wanted, string 1 first.
type Sheet struct {
	Cuts     []Cut
	Missing  []int // strings on which nothing was measured
	NotSet   []NotSet
	Cannot   []Cannot
	Angle    *Angle // nil where nothing was measured at the bridge
	Kinks    []num.Opt
	FretsOff bool    // the frets are not level, as frets judges them
	ZoneMM   float64 // what they should be level within
	ReliefMM float64 // as an edge along the neck shows it: the crowns' own and the strings'
	Rod      bool
	ZeroFret bool
	Lowest   bool // the actions are the least at which every note is clear
	Over     int  // the fret that action is measured over
}

// NotSet is a string that cannot be set up, and the crown that it lacks.
type NotSet struct {
	String int
	Err    error
}

// Cannot is a string that does not ring clear as it is wanted.
type Cannot struct {
	String        int          `json:"string"`
	ActionMM      float64      `json:"action_mm"`
	LeastActionMM num.Opt      `json:"lowest_clear_action_mm"` // missing where no action does it
	Fret          int          `json:"fret"`                   // of its worst note
	OnFret        int          `json:"on_fret,omitempty"`
	Verdict       play.Verdict `json:"verdict"`
	Why           string       `json:"why"` // for the catalogue to fill in
}

// CovOf is the covariance of a lane's crowns by their frets; perfect ones have none.
func CovOf(frets []int, cov mat.Symmetric) func(fret, other int) float64 {
	return func(fret, other int) float64 {
		i, j := slices.Index(frets, fret), slices.Index(frets, other)
		if i < 0 || j < 0 {
			return 0
		}
		return cov.At(i, j)
	}
}

// LowestActions lowers or raises every string of a judged neck to the least action at
// which all its notes are clear, up to a hundredth of a mm; a string that no action
// makes clear keeps its own. The neck is to be judged again then.
func LowestActions(n *play.Neck, r *play.Report) {
	actions := slices.Clone(n.Model.Setup.Action)
	for i, s := range r.Strings {
		if mm, known := s.LowestClearActionMM.Get(); known {
			actions[i] = num.RoundUp(mm, 100)
		}
	}
	n.Model.Setup.Action = actions
	for k := range n.Cases {
		n.Cases[k].Setup.ActionMM = actions[n.Cases[k].Lane.String-1]
	}
}

// CannotOf lists the strings of a judged neck with a note that is not clear under the
// judging touch, string 1 first, with their worst notes.
func CannotOf(r *play.Report) []Cannot {
	out := []Cannot{}
	for _, s := range r.Strings {
		i := slices.IndexFunc(r.Worst, func(w play.Worst) bool { return w.String == s.String })
		if i < 0 {
			continue
		}
		w := r.Worst[i]
		out = append(out, Cannot{String: s.String, ActionMM: s.ActionMM, LeastActionMM: s.LowestClearActionMM, Fret: w.Fret, OnFret: w.AtFret, Verdict: w.Verdict})
	}
	return out
}

// JointOf is the neck's joint in the lane of a string.
func JointOf(m neck.Model, l *geometry.Layout, number int) Joint {
	lane := float64(number)
	j := Joint{Fret: m.Body.Joint, HeelMM: m.Body.Heel, PocketMM: m.Body.Pocket,
		Share: l.LaneX(play.ActionFret(l), lane) / l.LaneScale(lane)}
	if j.Fret > 0 {
		j.XMM = l.LaneX(j.Fret, lane)
	}
	return j
}

// LeastShows is how much of the saddle has to show on a neck where nobody says.
func LeastShows(m neck.Model) float64 {
	if m.Body.Pocket > 0 {
		return LeastScrewsMM
	}
	return LeastShowsMM
}

// ErrNothing says that nothing was measured.
var ErrNothing = errors.New("nothing was measured")

// SheetOf is the sheet of a neck with its strings on, each over its lane; cov gives
// the covariance of a string's crowns, nil where they are taken to be perfect. Errors:
// ErrNothing, or those of CutOf with their string; a crown not known is no error.
func SheetOf(n *play.Neck, all []Measured, cov func(number int) func(int, int) float64, d Doubt, b Bridge) (*Sheet, error) {
	m := n.Model
	s := &Sheet{ReliefMM: m.Level.Relief + m.Setup.Relief, Rod: m.Body.Rod, ZoneMM: m.Level.Zone, ZeroFret: m.Scale.ZeroFret, Over: play.ActionFret(n.Layout), Missing: []int{}}
	var overs []Over
	var joints []Joint
	for i, lane := range n.Lanes {
		read := Of(all, i+1)
		if read == (Measured{String: i + 1, ShowsMM: read.ShowsMM}) {
			s.Missing = append(s.Missing, i+1)
			continue
		}
		over := Over{Lane: lane, Cov: cov(i + 1)}
		c, err := CutOf(read, over, play.SetupOf(m, n.Layout, i+1, 0), m.Scale.ZeroFret, d)
		if errors.Is(err, play.ErrNoCrown) {
			s.NotSet = append(s.NotSet, NotSet{i + 1, err})
			continue
		}
		if err != nil {
			return nil, fmt.Errorf("string %d: %w", i+1, err)
		}
		t := n.Strings[i]
		s.Cuts, overs = append(s.Cuts, c), append(overs, over)
		joints = append(joints, JointOf(m, n.Layout, i+1))
		s.Kinks = append(s.Kinks, num.Some(KinkMM(t.StiffnessNMM2, t.TensionN, BreakRad)))
	}
	if len(s.Cuts)+len(s.NotSet) == 0 {
		return nil, ErrNothing
	}
	a, err := AngleOf(s.Cuts, overs, joints, b)
	if err != nil && !errors.Is(err, ErrNoBridge) {
		return nil, err
	}
	s.Angle = a
	return s, nil
}

// FirstTurn says that the neck must be turned before slots and saddle are cut.
func (s *Sheet) FirstTurn() bool { return s.Angle != nil && s.Angle.Verdict != SaddleHasIt }

// Early says that slots and saddle must wait: for the frets, or for the neck's angle.
func (s *Sheet) Early() bool { return s.FretsOff || s.FirstTurn() }

// Deeds counts what is to be done with slots and saddle.
func (s *Sheet) Deeds() (slots, saddle map[Deed]int) {
	slots, saddle = map[Deed]int{}, map[Deed]int{}
	for _, c := range s.Cuts {
		if c.Slot != nil {
			slots[c.Slot.Deed]++
		}
		saddle[c.Saddle.Deed]++
	}
	return slots, saddle
}

// FootMM is what comes off the foot of a one-piece saddle in this pass: what every
// string can spare. 0 where one can spare nothing.
func (s *Sheet) FootMM() float64 {
	least := math.Inf(1)
	for _, c := range s.Cuts {
		least = math.Min(least, c.Saddle.NowMM)
	}
	if math.IsInf(least, 1) {
		return 0
	}
	return least
}

// Done says that no slot and no saddle is to be touched.
func (s *Sheet) Done() bool {
	slots, saddle := s.Deeds()
	for _, d := range []Deed{Take, Touch, Raise} {
		if slots[d]+saddle[d] > 0 {
			return false
		}
	}
	return true
}
