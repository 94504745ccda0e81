package answer

import (
	"context"
	"errors"
	"fmt"
	"math"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/play"
	"ringtrue/internal/reading"
	"ringtrue/internal/stringset"
)

// PlayRequest is what `play` is asked.
type PlayRequest struct {
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
}

// player gathers what an answer to `play` needs.
type player struct {
	r       PlayRequest
	strings []stringset.String // every string of the neck
	lanes   []playLane
	judge   int         // index of the judging touch
	cases   []play.Case // of the strings that can be judged
	judged  []play.Judged
	answer  *PlayAnswer
}

// Play judges every note of a neck. Faults of the neck file come back as a
// fileerr.List whose faults name a key but neither file nor line. ctx ends the
// work early, with its error.
func Play(ctx context.Context, r PlayRequest) (*PlayAnswer, error) {
	p, err := newPlayer(ctx, r)
	if err != nil {
		return nil, err
	}
	if p.judged, err = play.Judge(ctx, p.cases); err != nil {
		return nil, err
	}
	if err := p.fill(); err != nil {
		return nil, err
	}
	if r.Bend > 0 {
		if err := p.bends(ctx); err != nil {
			return nil, err
		}
	}
	p.warn()
	return p.answer, nil
}

// newPlayer lays out strings and crowns, ready to be judged.
func newPlayer(ctx context.Context, r PlayRequest) (*player, error) {
	p := &player{r: r, answer: &PlayAnswer{
		Neck: r.Model.Name, JudgeBy: r.Model.Setup.JudgeBy, PerfectCrowns: !r.Read, AsPlanned: r.Planned, Capo: r.Capo,
		Strings: []PlayString{}, Worst: []PlayWorst{}, NotJudged: []NotJudged{}, Warnings: []string{},
	}}
	if err := p.check(); err != nil {
		return nil, err
	}
	var err error
	if p.strings, err = p.tuned(); err != nil {
		return nil, err
	}
	if err := p.readLanes(ctx); err != nil {
		return nil, err
	}
	p.gatherCases()
	return p, p.checkTouches()
}

// check refuses a call that makes no sense on this neck.
func (p *player) check() error {
	last := p.r.Layout.LastFret()
	switch {
	case p.r.Planned && !p.r.Read:
		return fmt.Errorf("a neck as planned needs readings to plan from")
	case p.r.Capo < 0 || p.r.Capo >= last:
		return fmt.Errorf("no note is left above a capo at fret %d: write a fret from 1 to %d", p.r.Capo, last-1)
	case p.r.Bend < 0 || p.r.Bend > 12 || math.IsNaN(p.r.Bend):
		return fmt.Errorf("a bend of %g semitones; it may be 0 to 12", p.r.Bend)
	case p.r.A4Hz != 0 && !(p.r.A4Hz >= 200 && p.r.A4Hz <= 900):
		return fmt.Errorf("A4 at %g Hz; it may be 200 to 900 Hz", p.r.A4Hz)
	case p.r.Set != nil && len(p.r.Set) != p.r.Layout.Strings():
		return fmt.Errorf("the set has %d strings, the neck %d", len(p.r.Set), p.r.Layout.Strings())
	}
	for i, t := range p.r.Model.Setup.Touch {
		if t.Name == p.r.Model.Setup.JudgeBy {
			p.judge = i
			return nil
		}
	}
	return fileerr.List{{Key: "setup.judge_by", Msg: fmt.Sprintf("%q names no touch", p.r.Model.Setup.JudgeBy)}}
}

// tuned works out every string. The neck file's tensions hold at A4 = 440 Hz;
// another A4, and another pitch of the same string, leave its mass and
// stiffness as they are.
func (p *player) tuned() ([]stringset.String, error) {
	var faults fileerr.List
	out := make([]stringset.String, p.r.Layout.Strings())
	for i, own := range p.r.Model.Strings.Set {
		scale := p.r.Layout.LaneScale(float64(i + 1))
		s, err := stringset.Tune(own, scale, stringset.ConcertA)
		if err == nil && p.r.Set != nil {
			s, err = retune(p.r.Set[i], own, s, scale)
		}
		if err == nil && p.r.A4Hz > 0 {
			ratio := p.r.A4Hz / stringset.ConcertA
			s = s.Retuned(ratio)
		}
		if err != nil {
			faults.Add("", 0, "strings.set", "string %d: %s", i+1, err)
		}
		out[i] = s
	}
	return out, faults.Err()
}

// retune is a string of another set, or the neck's own where it names a pitch
// alone.
func retune(s, own neck.String, ownTuned stringset.String, scale float64) (stringset.String, error) {
	same := s.Gauge == 0 && s.Tension == 0 && s.Mass == 0
	if !same {
		return stringset.Tune(s, scale, stringset.ConcertA)
	}
	s.Gauge, s.Wound, s.Core = own.Gauge, own.Wound, own.Core
	s.Mass = ownTuned.MassGPerM
	if s.Stiffness == 0 {
		s.Stiffness = ownTuned.StiffnessNMM2
	}
	return stringset.Tune(s, scale, stringset.ConcertA)
}

// gatherCases lists the strings that can be judged.
func (p *player) gatherCases() {
	damping := p.r.Model.Strings.Damping
	if p.r.Damping != nil {
		damping = *p.r.Damping
	}
	for i, l := range p.lanes {
		if l.why != "" {
			continue
		}
		p.cases = append(p.cases, play.Case{Lane: l.Lane, Setup: p.setup(i), String: p.strings[i],
			Decay:   stringset.Square{Base: damping.Base, Square: damping.Square},
			Touches: p.r.Model.Setup.Touch, Judge: p.judge, Graze: p.r.Model.Setup.Graze})
	}
}

// setup is how string i lies.
func (p *player) setup(i int) play.Setup {
	s := p.r.Model.Setup
	out := play.Setup{ActionMM: s.Action[i], ActionFret: min(12, p.r.Layout.LastFret()), CapoFret: p.r.Capo}
	switch {
	case p.r.Model.Scale.ZeroFret: // the string lies on fret 0
	case s.NutGap != nil:
		out.NutGapMM, out.ByGap = s.NutGap[i], true
	default:
		out.NutMM = s.Nut[i]
	}
	return out
}

// checkTouches finds every touch that cannot be played and every slack string,
// one fault each.
func (p *player) checkTouches() error {
	var faults fileerr.List
	slack := map[int]bool{}
	for _, t := range p.r.Model.Setup.Touch {
		for _, c := range p.cases {
			rest, err := c.Lane.Rest(c.Setup)
			if err != nil {
				return fileerr.List{{Key: "setup.nut_gap", Msg: err.Error()}}
			}
			err = play.CheckTouch(t, c.Lane, c.Lane.Stops(c.Setup, rest), c.String.TensionN)
			switch {
			case errors.Is(err, play.ErrSlack):
				if !slack[c.Lane.String] {
					faults.Add("", 0, "strings.set", "%s", err)
				}
				slack[c.Lane.String] = true
				continue
			case err != nil:
				faults.Add("", 0, "setup.touch", "%s", err)
			default:
				continue
			}
			break
		}
	}
	return faults.Err()
}
