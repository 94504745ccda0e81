package answer

import (
	"fmt"
	"math"

	"ringtrue/internal/geometry"
	"ringtrue/internal/num"
	"ringtrue/internal/play"
	"ringtrue/internal/straight"
	"ringtrue/internal/stringset"
)

// sideways is the part of a pluck that is taken to go along the board where the
// answer says how fast the plane of vibration turns.
const sideways = 0.25

// fill puts what was judged into the answer.
func (p *player) fill() error {
	at := map[int]int{} // case by string number
	for k, c := range p.cases {
		at[c.Lane.String] = k
	}
	for i, s := range p.strings {
		k, known := at[i+1]
		if !known {
			k = -1
		}
		a, err := p.stringAnswer(i, s, k)
		if err != nil {
			return err
		}
		p.answer.Strings = append(p.answer.Strings, a)
	}
	p.leastMargin()
	p.answer.LeastMetal = p.metal(func(j play.Judged) play.Needs { return j.Ideal })
	p.answer.LeastMetalClear = p.metal(func(j play.Judged) play.Needs { return j.Own })
	if err := p.worst(); err != nil {
		return err
	}
	return p.cures()
}

// stringAnswer is what is said of string i; k is its case, −1 where it has none.
func (p *player) stringAnswer(i int, s stringset.String, k int) (PlayString, error) {
	m := p.r.Model
	a := PlayString{String: i + 1, Pitch: p.pitchOf(i + 1), PitchHz: s.PitchHz, TensionN: s.TensionN, MassGPerM: s.MassGPerM,
		StiffnessNMM2: s.StiffnessNMM2, Inharmonicity: s.Inharmonicity(s.ScaleMM), StressNMM2: s.StressMPa,
		CoreMM: s.CoreMM, CoreTaken: s.CoreTaken, ScaleMM: s.ScaleMM, ActionMM: m.Setup.Action[i],
		SagMM: play.SagMM(s, s.ScaleMM), Notes: []PlayNote{}}
	if pluck, err := play.PluckOf(m.Setup.Touch[p.judge], s.TensionN, s.ScaleMM); err == nil {
		a.SharpCents = pluck.RiseCents(s, s.ScaleMM)
		a.QuarterTurnMS = 1e3 * play.QuarterTurnS(s, s.ScaleMM, pluck.HeightMM, sideways*pluck.HeightMM)
	}
	var err error
	if a.BoardShapeMM, err = p.boardShape(i); err != nil || k < 0 {
		return a, err
	}
	c, j := p.cases[k], p.judged[k]
	a.NutMM, a.SaddleMM = num.Some(j.Rest.NutMM), num.Some(j.Rest.SaddleMM)
	low, err := play.LowestAction(c.Lane, c.Setup, j.Ideal)
	if err != nil {
		return a, err
	}
	clear, err := play.LowestAction(c.Lane, c.Setup, j.Own)
	if err != nil {
		return a, err
	}
	a.LowestActionMM, a.LowestClearActionMM = num.Some(low), num.Some(clear)
	a.RaiseActionMM = num.Some(math.Max(0, clear-c.Setup.ActionMM))
	for s := range j.Stops {
		a.Notes = append(a.Notes, p.notes(k, s)...)
	}
	return a, nil
}

// notes are the notes of one stop of case k.
func (p *player) notes(k, s int) []PlayNote {
	c, j := p.cases[k], p.judged[k]
	var out []PlayNote
	for t, n := range j.Notes[s] {
		a := PlayNote{Fret: n.Fret, Touch: n.Touch, Verdict: n.Verdict, NotSeen: p.unseen(c.Lane.String, n.Fret)}
		if n.Margin.Any {
			a.MarginMM, a.NearestFret = num.Some(n.Margin.LeastMM), &j.Notes[s][t].Margin.Nearest
			if t == p.judge {
				left := math.Inf(1)
				for _, l := range p.left(k, s) {
					left = math.Min(left, l.LeftMM)
				}
				a.ClearMarginMM = num.Some(left)
			}
		}
		if x := n.Contact; x != nil {
			a.Contact = &PlayContact{Frets: x.Frets, FirstFret: x.FirstFret, FirstMS: 1e3 * x.FirstS, LastMS: 1e3 * x.LastS,
				ImpulseMNS: 1e3 * x.ImpulseNS, FirstPeriodShare: x.FirstPeriodShare, WindowMS: 1e3 * play.WindowS,
				Release: releaseWord(x.Toward), TriangleMM: x.HeightMM}
		}
		out = append(out, a)
	}
	return out
}

// releaseWord says which way a note was released.
func releaseWord(toward bool) string {
	if toward {
		return "towards"
	}
	return "away"
}

// unseen are the frets beyond a stop whose crowns are not known.
func (p *player) unseen(number, fret int) []int {
	var out []int
	for _, f := range p.lanes[number-1].missing {
		if f > fret {
			out = append(out, f)
		}
	}
	return out
}

// left is what is left of the gap over each crown beyond stop s of case k, under
// the judging touch.
func (p *player) left(k, s int) []PlaceLeft {
	c, j := p.cases[k], p.judged[k]
	stop := j.Stops[s]
	var out []PlaceLeft
	for n, crown := range c.Lane.Crowns[stop.Beyond:] {
		gap := stop.Gap(crown, j.Rest)
		out = append(out, PlaceLeft{Fret: crown.Fret, FromNutMM: crown.XMM, GapMM: gap, LeftMM: gap - j.Own[s][n]})
	}
	return out
}

// boardShape is how far the board's own surface strays from straight along
// string i's lane: nothing where the strings run with the board's cone.
func (p *player) boardShape(i int) (float64, error) {
	x, z := p.surface(i)
	if len(x) < 3 {
		return 0, nil
	}
	zone, err := straight.Zone(x, z)
	if err != nil {
		return 0, fmt.Errorf("lane %d: %w", i+1, err)
	}
	return zone.WidthMM, nil
}

// surface is the intended board's height under string i at each fret.
func (p *player) surface(i int) (x, z []float64) {
	for _, f := range p.frets() {
		at := p.r.Layout.At(f, float64(i+1))
		x = append(x, p.r.Layout.LaneX(f, float64(i+1)))
		z = append(z, p.r.Layout.Surface(geometry.Point{X: at.X, Y: at.Y}))
	}
	return x, z
}

// leastMargin is the least margin of all notes and touches.
func (p *player) leastMargin() {
	low := math.Inf(1)
	for _, s := range p.answer.Strings {
		for _, n := range s.Notes {
			low = math.Min(low, n.MarginMM.Or(low))
		}
	}
	p.answer.LeastMarginMM = num.Some(low)
}

// metal is the least metal of every judged string against some needs.
func (p *player) metal(needs func(play.Judged) play.Needs) PlayMetal {
	out := PlayMetal{Feasible: true, Strings: []PlayStringMetal{}}
	total, most := 0.0, 0.0
	for k, c := range p.cases {
		m := play.LeastMetal(c.Lane, p.judged[k].Stops, p.judged[k].Rest, needs(p.judged[k]))
		a := PlayStringMetal{String: c.Lane.String, Feasible: m.Feasible, Crowns: []PlayMetalCrown{}}
		if !m.Feasible {
			out.Feasible = false
			a.Why = fmt.Sprintf("the note stopped at fret %d asks for more off fret %d than stands above level.least_crown", m.StopFret, m.ShortFret)
			out.Strings = append(out.Strings, a)
			continue
		}
		a.TotalRemoveMM = num.Some(m.TotalMM)
		for i, take := range m.RemoveMM {
			if take > 0 {
				a.Crowns = append(a.Crowns, PlayMetalCrown{Fret: c.Lane.Crowns[i].Fret, RemoveMM: take})
			}
		}
		total += m.TotalMM
		most = math.Max(most, m.MaxMM)
		out.Strings = append(out.Strings, a)
	}
	if out.Feasible {
		out.TotalRemoveMM, out.MaxRemoveMM = num.Some(total), num.Some(most)
	}
	return out
}
