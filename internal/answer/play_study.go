package answer

import (
	"context"
	"fmt"
	"math"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/neck"
	"ringtrue/internal/num"
	"ringtrue/internal/play"
	"ringtrue/internal/study"
)

// PlayStudyRequest asks what levelness buys on a neck: necks are drawn whose
// frets are level only to each zone.
type PlayStudyRequest struct {
	Play     PlayRequest // without readings, plan and bend
	ZonesMM  []float64   // ascending
	Necks    int         // for each zone
	Seed     uint64
	Progress func(done, all int) // may be nil
}

// Bounds of a study.
const (
	mostZoneMM  = 1
	mostNecks   = 100000
	mostActions = 20e6 // zones × strings × necks
)

// studyShares are the shares of the necks that the answer speaks of; the middle
// one is that of its last sentence.
func studyShares() []float64 { return []float64{0.5, 0.9, 0.95} }

// sheetMM is the thickness of a sheet of office paper of 80 g/m², about a tenth
// of a millimetre (trade figure, from memory).
const sheetMM = 0.1

// PlayStudy draws the necks and tells how low their strings can go. Faults and
// ctx as Play.
func PlayStudy(ctx context.Context, r PlayStudyRequest) (*PlayStudyAnswer, error) {
	p := &player{r: r.Play, answer: &PlayAnswer{}}
	if err := r.check(p); err != nil {
		return nil, err
	}
	lines, err := p.studyLines(ctx)
	if err != nil {
		return nil, err
	}
	found, err := study.Run(ctx, study.Request{Lines: lines, ZonesMM: r.ZonesMM, Necks: r.Necks, Seed: r.Seed,
		Errors: study.Usual(), Progress: r.Progress})
	if err != nil {
		return nil, err
	}
	for i, v := range found.PerfectMM {
		if math.IsInf(v, 0) {
			return nil, fileerr.List{{Key: "setup.nut_gap", Msg: fmt.Sprintf(
				"string %d touches at every action even over perfect crowns, so levelness buys nothing; raise the nut", i+1)}}
		}
	}
	a := p.studyAnswer(r, lines, found)
	a.Buys, err = r.buys(ctx, found)
	return a, err
}

// check refuses a study that makes no sense, and gets the player ready.
func (r PlayStudyRequest) check(p *player) error {
	if r.Play.Read || r.Play.Planned || r.Play.Bend != 0 {
		return fmt.Errorf("a study draws its necks itself: it takes no readings, no plan and no bend")
	}
	if err := p.check(); err != nil {
		return err
	}
	// Nothing but the judging touch bears on the answer.
	p.r.Model.Setup.Touch = []neck.Touch{r.Play.Model.Setup.Touch[p.judge]}
	p.judge = 0
	if frets := p.r.Layout.LastFret() - p.r.Layout.FirstFret() + 1; frets < 3 {
		return fmt.Errorf("a zone takes three frets or more; the neck has %d", frets)
	}
	if len(r.ZonesMM) == 0 {
		return fmt.Errorf("a study takes a zone or more")
	}
	for i, z := range r.ZonesMM {
		if !(z >= 0 && z <= mostZoneMM) {
			return fmt.Errorf("a zone of %g mm; it may be 0 to %d mm", z, mostZoneMM)
		}
		if i > 0 && !(z > r.ZonesMM[i-1]) {
			return fmt.Errorf("the zones must ascend; %g mm follows %g mm", z, r.ZonesMM[i-1])
		}
	}
	if r.Necks < 20 || r.Necks > mostNecks {
		return fmt.Errorf("%d necks; it may be 20 to %d", r.Necks, mostNecks)
	}
	if n := float64(r.Necks) * float64(len(r.ZonesMM)*p.r.Layout.Strings()); n > mostActions {
		return fmt.Errorf("%d zones of %d necks are more than can be kept; take fewer", len(r.ZonesMM), r.Necks)
	}
	return nil
}

// studyLines are the strings over perfect crowns, each with the gaps that it
// asks for.
func (p *player) studyLines(ctx context.Context) ([]study.Line, error) {
	var err error
	if p.strings, err = p.tuned(); err != nil {
		return nil, err
	}
	if err := p.readLanes(ctx); err != nil {
		return nil, err
	}
	p.gatherCases()
	if err := p.checkTouches(); err != nil {
		return nil, err
	}
	if p.judged, err = play.Judge(ctx, p.cases); err != nil {
		return nil, err
	}
	n := len(p.cases)
	lines := make([]study.Line, n)
	for i, c := range p.cases {
		lines[i] = study.Line{Lane: c.Lane, Setup: c.Setup, Needs: p.judged[i].Own}
		if n > 1 {
			lines[i].Across = 1 - 2*float64(i)/float64(n-1)
		}
	}
	return lines, nil
}

// studyAnswer puts what was found into the answer.
func (p *player) studyAnswer(r PlayStudyRequest, lines []study.Line, found *study.Actions) *PlayStudyAnswer {
	e := study.Usual()
	a := &PlayStudyAnswer{Neck: p.r.Model.Name, JudgeBy: p.r.Model.Setup.JudgeBy, Touch: p.r.Model.Setup.Touch[0], Capo: p.r.Capo,
		ActionFret: lines[0].Setup.ActionFret, ZoneLimitMM: p.r.Model.Level.Zone, Necks: r.Necks, Seed: r.Seed,
		Means: "clear: no string touches any fret at any stop, by the stiff string's own reach, as lowest_clear_action_mm; the nut as the neck file says, the action over the measured fret's own crown, which errs too",
		Model: fmt.Sprintf("each fret errs by itself: normally distributed errors of the whole fret, its tilt, its arch and each single crown, as %g : %g : %g : %g; "+
			"a neck's errors are scaled so that its least level lane has just the zone, the others no more; chosen, not measured; a slow wave along the neck would cost less on average", e.Fret, e.Tilt, e.Arch, e.Crown)}
	set := make([]float64, len(lines))
	for i, l := range lines {
		set[i] = l.Setup.ActionMM
		a.Strings = append(a.Strings, PlayStudyString{String: i + 1, Pitch: p.pitchOf(i + 1), PerfectActionMM: found.PerfectMM[i], ActionMM: set[i]})
	}
	for z, mm := range r.ZonesMM {
		zone := PlayStudyZone{ZoneMM: mm}
		for i := range lines {
			zone.Strings = append(zone.Strings, PlayStudyLevels{String: i + 1, Levels: studyLevels(found.LowestMM[z][i])})
		}
		zone.Raise = studyLevels(found.Raises(z))
		zone.ClearAsSetPct, zone.ClearAsSetUPct = percent(found.ClearAt(z, set), r.Necks)
		a.Zones = append(a.Zones, zone)
	}
	return a
}

// studyLevels are the actions of each share of the necks.
func studyLevels(mm []float64) []PlayStudyLevel {
	var out []PlayStudyLevel
	for _, share := range studyShares() {
		l := study.LevelOf(mm, share)
		out = append(out, PlayStudyLevel{SharePct: 100 * share, ActionMM: num.Some(l.ActionMM), LowMM: num.Some(l.LowMM), HighMM: num.Some(l.HighMM)})
	}
	return out
}

// buys tells what a third of a sheet of paper of zone is worth between the
// narrowest and the widest zone, or from perfect crowns where there is but one.
func (r PlayStudyRequest) buys(ctx context.Context, found *study.Actions) (*PlayStudyBuys, error) {
	last := len(r.ZonesMM) - 1
	b := &PlayStudyBuys{SharePct: 100 * studyShares()[1], FromZoneMM: r.ZonesMM[0], ToZoneMM: r.ZonesMM[last], PaperMM: sheetMM / 3}
	from := found.Raises(0)
	if last == 0 {
		b.FromZoneMM = 0
		clear(from)
	}
	if !(b.ToZoneMM > b.FromZoneMM) {
		return nil, nil // perfect crowns alone
	}
	mm, u, err := study.Difference(ctx, from, found.Raises(last), studyShares()[1], r.Seed)
	if err != nil || math.IsNaN(mm) {
		return nil, err
	}
	b.RaiseMM, b.URaiseMM = mm, u
	per := b.PaperMM / (b.ToZoneMM - b.FromZoneMM)
	b.PaperBuysMM, b.UPaperBuysMM = mm*per, u*per
	return b, nil
}

// percent is a count as a share of all and its standard uncertainty, two more of
// either kind counted in so that none or all is not taken for certain.
// Source: A. Agresti and B. Coull, The American Statistician 52 (1998) 119.
func percent(count, of int) (pct, u float64) {
	n := float64(of) + 4
	share := (float64(count) + 2) / n
	return 100 * float64(count) / float64(of), 100 * math.Sqrt(share*(1-share)/n)
}
