package answer

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"ringtrue/internal/num"
	"ringtrue/internal/play"
)

// mostReliefMM bounds the relief that a cure may ask for.
const mostReliefMM = 2

// worst lists the notes that are not clear under the judging touch, those that
// fall shortest first, each with its cure.
func (p *player) worst() error {
	for k, c := range p.cases {
		j := p.judged[k]
		for s, notes := range j.Notes {
			n := notes[p.judge]
			if n.Verdict == play.Clear {
				continue
			}
			r, needed, err := play.RemedyOf(c.Lane, c.Setup, s, j.Own)
			if err != nil {
				return err
			}
			w := PlayWorst{String: c.Lane.String, Fret: n.Fret, Verdict: n.Verdict, Left: p.left(k, s),
				Cure: "nothing to do: it touches by less than can be measured"}
			if needed {
				w.ShortMM, w.AtFret = r.ShortMM, r.Fret
				w.Cure, w.Explain = p.cureOf(n.Fret, r)
			}
			p.answer.Worst = append(p.answer.Worst, w)
		}
	}
	rank := map[play.Verdict]int{play.Chokes: 0, play.Buzzes: 1, play.Grazes: 2}
	sort.SliceStable(p.answer.Worst, func(a, b int) bool {
		x, y := p.answer.Worst[a], p.answer.Worst[b]
		if rank[x.Verdict] != rank[y.Verdict] {
			return rank[x.Verdict] < rank[y.Verdict]
		}
		return x.ShortMM > y.ShortMM
	})
	return nil
}

// cureOf puts a note's remedies into words, a fret that is off first; the second
// answer says whether such a fret explains the note.
func (p *player) cureOf(stop int, r play.Remedy) (string, bool) {
	var ways []string
	explained := false
	if r.LevelFret {
		ways = append(ways, fmt.Sprintf("level fret %d, which stands %.3f mm high here (%.3f mm off is enough)", r.Fret, r.HighMM, upTo(r.ShortMM, 1e3)))
		explained = true
	}
	if r.RaiseStop {
		ways = append(ways, fmt.Sprintf("refit fret %d, which stands %.3f mm low here", stop, r.LowMM))
		explained = true
	}
	if !explained && r.TakeAlone {
		ways = append(ways, fmt.Sprintf("take %.3f mm off fret %d", upTo(r.ShortMM, 1e3), r.Fret))
	}
	if !math.IsInf(r.NutMM, 1) {
		ways = append(ways, fmt.Sprintf("raise the nut by %.2f mm", upTo(r.NutMM, 100)))
	}
	if !math.IsInf(r.ActionMM, 1) {
		ways = append(ways, fmt.Sprintf("raise the action by %.2f mm", upTo(r.ActionMM, 100)))
	}
	if len(ways) == 0 {
		return "no single change helps: look at nut, relief and action together", false
	}
	return strings.Join(ways, ", or "), explained
}

// upTo rounds up to a digit, so that what is read off is enough.
func upTo(v, perMM float64) float64 { return math.Ceil(v*perMM-1e-6) / perMM }

// cures works out what makes every note clear, each cure by itself.
func (p *player) cures() error {
	if len(p.answer.Worst) == 0 {
		return nil
	}
	relief := play.Range{Lo: -p.r.Model.Setup.Relief, Hi: mostReliefMM}
	nut := play.Range{Lo: 0, Hi: math.Inf(1)}
	action := 0.0
	for k, c := range p.cases {
		own := p.judged[k].Own
		r, err := play.ReliefRange(c.Lane, c.Setup, own)
		if err != nil {
			return err
		}
		n, err := play.NutRange(c.Lane, c.Setup, own)
		if err != nil {
			return err
		}
		a, err := play.LowestAction(c.Lane, c.Setup, own)
		if err != nil {
			return err
		}
		relief, nut, action = relief.And(r), nut.And(n), math.Max(action, a-c.Setup.ActionMM)
	}
	out := &PlayCures{RaiseActionMM: num.Some(action), Refit: []int{}, MetalMM: p.answer.LeastMetalClear.TotalRemoveMM}
	if !relief.Empty() {
		out.ReliefMM = num.Some(relief.Nearest(0))
	}
	if !nut.Empty() && !p.r.Model.Scale.ZeroFret && p.r.Capo == 0 {
		out.RaiseNutMM = num.Some(nut.Nearest(0))
	}
	for _, f := range p.frets() {
		if ok, err := p.clearsWithRefit(f); err != nil {
			return err
		} else if ok {
			out.Refit = append(out.Refit, f)
		}
	}
	p.answer.Cures = out
	return nil
}

// clearsWithRefit reports whether refitting one fret to the wanted height in
// every lane makes all notes clear.
func (p *player) clearsWithRefit(fret int) (bool, error) {
	for k, c := range p.cases {
		ok, err := play.Clears(c.Lane.Refitted(fret), c.Setup, p.judged[k].Own)
		if !ok || err != nil {
			return false, err
		}
	}
	return true, nil
}

// warn adds what the maker should know beside the verdicts.
func (p *player) warn() {
	add := func(format string, args ...any) {
		p.answer.Warnings = append(p.answer.Warnings, fmt.Sprintf(format, args...))
	}
	m := p.r.Model
	arch := 0.0
	for i, s := range p.strings {
		if s.StressMPa > s.StrengthMPa {
			add("string %d would bear %.0f N/mm²; music wire of %.2f mm breaks at about %.0f N/mm²: mind flying ends", i+1, s.StressMPa, s.CoreMM, s.StrengthMPa)
		}
		arch = math.Max(arch, p.answer.Strings[i].BoardShapeMM)
		p.warnChoked(p.answer.Strings[i], add)
	}
	if arch > m.Level.Zone/10 {
		add("the board's own arch makes up to %.3f mm of a lane's zone, since the strings do not run along its cone", arch)
	}
	if m.Scale.ZeroFret && (m.Setup.NutGap != nil || slices.ContainsFunc(m.Setup.Nut, func(v float64) bool { return v != 0 })) {
		add("the open string lies on fret 0; setup.nut and setup.nut_gap have no part in it")
	}
	if m.Wire.CrownHeight <= m.Level.LeastCrown {
		add("wire.crown_height %.2f mm is no higher than level.least_crown %.2f mm: no metal can come off", m.Wire.CrownHeight, m.Level.LeastCrown)
	}
}

// warnChoked says where a whole string chokes.
func (p *player) warnChoked(s PlayString, add func(string, ...any)) {
	choked, notes := 0, 0
	for _, n := range s.Notes {
		if n.Touch != p.answer.JudgeBy || !n.MarginMM.Known() {
			continue
		}
		notes++
		if n.Verdict == play.Chokes {
			choked++
		}
	}
	if notes > 0 && choked == notes {
		add("string %d chokes at every stop: its action of %.2f mm lies below the frets", s.String, s.ActionMM)
	}
}

// warnStrung warns of readings that hold the strings' bow already.
func (p *player) warnStrung() {
	for _, r := range p.r.Readings {
		if strings.EqualFold(strings.TrimSpace(r.State), "strung") && p.r.Model.Setup.Relief != 0 {
			p.answer.Warnings = append(p.answer.Warnings, fmt.Sprintf("readings were taken strung and hold the strings' bow already; setup.relief adds %.2f mm to it: set it to 0 if that is too much", p.r.Model.Setup.Relief))
			return
		}
	}
}
