package play

import (
	"cmp"
	"math"
	"slices"

	"ringtrue/internal/num"
)

// NeckMetal is the least metal whose removal makes every judged note ring. The
// totals are missing where a crown would go too low.
type NeckMetal struct {
	Feasible      bool          `json:"feasible"`
	TotalRemoveMM num.Opt       `json:"total_remove_mm"`
	MaxRemoveMM   num.Opt       `json:"max_remove_mm"`
	UTotalMM      num.Opt       `json:"u_total_remove_mm,omitzero"` // of crowns as read
	Strings       []StringMetal `json:"strings"`
}

// StringMetal is the least metal of one string's lane.
type StringMetal struct {
	String        int          `json:"string"`
	Feasible      bool         `json:"feasible"`
	TotalRemoveMM num.Opt      `json:"total_remove_mm"`
	UTotalMM      num.Opt      `json:"u_total_remove_mm,omitzero"`
	Crowns        []MetalCrown `json:"crowns"`
	Why           string       `json:"why,omitempty"` // not feasible: which note asks too much of which crown
	StopFret      int          `json:"-"`             // of that note
	ShortFret     int          `json:"-"`             // that crown's
}

// MetalCrown is a crown that loses metal.
type MetalCrown struct {
	Fret     int     `json:"fret"`
	RemoveMM float64 `json:"remove_mm"`
}

// Cures is what makes every note of the neck clear under the judging touch, each
// cure by itself; missing where it cannot.
type Cures struct {
	RaiseActionMM num.Opt `json:"raise_action_mm"` // of the string that needs most
	ReliefMM      num.Opt `json:"relief_mm"`       // added to setup.relief; less where negative
	RaiseNutMM    num.Opt `json:"raise_nut_mm"`
	Refit         []int   `json:"refit"` // frets of which refitting one, by itself, is enough
	MetalMM       num.Opt `json:"metal_mm"`
}

// Worst is a note that is not clear, and what would make it so.
type Worst struct {
	String  int     `json:"string"`
	Fret    int     `json:"fret"`
	Verdict Verdict `json:"verdict"`
	ShortMM float64 `json:"short_mm"` // by how much the gap falls short of the stiff string's reach
	AtFret  int     `json:"at_fret"`
	Cure    string  `json:"cure"`
	InDoubt bool    `json:"in_doubt,omitempty"` // the readings leave it in doubt
	Explain bool    `json:"fret_explains"`      // a fret that is off explains it
	Left    []Room  `json:"left"`
	Remedy  *Remedy `json:"-"` // nil: it touches by less than can be measured
}

// Room is what is left of the gap over a crown: gap less reach.
type Room struct {
	Fret      int     `json:"fret"`
	FromNutMM float64 `json:"from_nut_mm"`
	GapMM     float64 `json:"gap_mm"`
	LeftMM    float64 `json:"left_mm"`
}

// left is what is left of the gap over each crown beyond a stop.
func (l Lane) left(stop Stop, r Rest, reach []float64) (all []Room) {
	for k, c := range l.Crowns[stop.Beyond:] {
		gap := stop.Gap(c, r)
		all = append(all, Room{Fret: c.Fret, FromNutMM: c.XMM, GapMM: gap, LeftMM: gap - reach[k]})
	}
	return all
}

// metal is the least metal of every judged string against some needs.
func (n *Neck) metal(clearance func(Judged) Clearance) NeckMetal {
	out := NeckMetal{Feasible: true, Strings: []StringMetal{}}
	total, most := 0.0, 0.0
	for k, c := range n.Cases {
		j := n.Judged[k]
		m := LeastMetal(c.Lane, j.Stops, j.Rest, clearance(j))
		s := StringMetal{String: c.Lane.String, Feasible: m.Feasible, Crowns: []MetalCrown{}, StopFret: m.StopFret, ShortFret: m.ShortFret}
		if m.Feasible {
			s.TotalRemoveMM = num.Some(m.TotalMM)
			for i, take := range m.RemoveMM {
				if take > 0 {
					s.Crowns = append(s.Crowns, MetalCrown{c.Lane.Crowns[i].Fret, take})
				}
			}
		}
		out.Feasible = out.Feasible && m.Feasible
		total, most = total+m.TotalMM, max(most, m.MaxMM)
		out.Strings = append(out.Strings, s)
	}
	if out.Feasible {
		out.TotalRemoveMM, out.MaxRemoveMM = num.Some(total), num.Some(most)
	}
	return out
}

// worst lists the notes that are not clear under the judging touch, those that
// fall shortest first, each with its remedy.
func (n *Neck) worst() ([]Worst, error) {
	all := []Worst{}
	for k, c := range n.Cases {
		j := n.Judged[k]
		for s, notes := range j.Notes {
			note := notes[n.judge]
			if note.Verdict == Clear {
				continue
			}
			r, needed, err := RemedyOf(c.Lane, c.Setup, s, j.Own)
			if err != nil {
				return nil, err
			}
			w := Worst{String: c.Lane.String, Fret: note.Fret, Verdict: note.Verdict, Left: c.Lane.left(j.Stops[s], j.Rest, j.Own[s])}
			if needed {
				w.ShortMM, w.AtFret, w.Explain, w.Remedy = r.ShortMM, r.Fret, r.Explained(), &r
			}
			all = append(all, w)
		}
	}
	rank := []Verdict{Chokes, Buzzes, Grazes}
	slices.SortStableFunc(all, func(x, y Worst) int {
		return cmp.Or(cmp.Compare(slices.Index(rank, x.Verdict), slices.Index(rank, y.Verdict)), cmp.Compare(y.ShortMM, x.ShortMM))
	})
	return all, nil
}

// maxReliefMM bounds the relief that a cure may ask for.
const maxReliefMM = 2

// cures works out what makes every note clear, each cure by itself.
func (n *Neck) cures(metal NeckMetal) (*Cures, error) {
	relief := Range{Lo: -n.Model.Setup.Relief, Hi: maxReliefMM}
	nut := Range{Lo: 0, Hi: math.Inf(1)}
	action := 0.0
	for k, c := range n.Cases {
		own := n.Judged[k].Own
		r, err := ReliefRange(c.Lane, c.Setup, own)
		if err != nil {
			return nil, err
		}
		u, err := NutRange(c.Lane, c.Setup, own)
		if err != nil {
			return nil, err
		}
		a, err := LowestAction(c.Lane, c.Setup, own)
		if err != nil {
			return nil, err
		}
		relief, nut, action = relief.And(r), nut.And(u), max(action, a-c.Setup.ActionMM)
	}
	out := &Cures{RaiseActionMM: num.Some(action), Refit: []int{}, MetalMM: metal.TotalRemoveMM}
	if !relief.Empty() {
		out.ReliefMM = num.Some(relief.Nearest(0))
	}
	if !nut.Empty() && !n.Model.Scale.ZeroFret && n.Capo == 0 {
		out.RaiseNutMM = num.Some(nut.Nearest(0))
	}
	for _, f := range FretsOf(n.Layout) {
		if ok, err := n.clearsWithRefit(f); err != nil {
			return nil, err
		} else if ok {
			out.Refit = append(out.Refit, f)
		}
	}
	return out, nil
}

// clearsWithRefit reports whether refitting one fret to the wanted height in
// every lane makes all notes clear.
func (n *Neck) clearsWithRefit(fret int) (bool, error) {
	for k, c := range n.Cases {
		ok, err := Clears(c.Lane.Refitted(fret), c.Setup, n.Judged[k].Own)
		if !ok || err != nil {
			return false, err
		}
	}
	return true, nil
}
