package answer

import (
	"cmp"
	"context"
	"slices"

	"ringtrue/internal/book"
	"ringtrue/internal/findings"
	"ringtrue/internal/geometry"
	"ringtrue/internal/num"
	"ringtrue/internal/straight"
	"ringtrue/internal/text"
	"ringtrue/internal/wear"
)

// BookCardRequest names a neck and the two records of its letter.
type BookCardRequest struct {
	Serial string
	Left   string // the stage at which it left the shop; empty: the latest that is old enough to have worn since
	Now    string // the stage told of; empty: the latest record
}

// BookCardAnswer is the yearly letter to a neck's owner.
type BookCardAnswer struct {
	Serial      string             `json:"serial"`
	Model       string             `json:"model"`
	ZoneLimitMM float64            `json:"zone_limit_mm"`
	Left        *CardStage         `json:"left"` // nil: one visit only
	Now         CardStage          `json:"now"`
	Years       num.Opt            `json:"years"` // between the two; missing where not both have a date
	Compared    *BookCompareAnswer `json:"compared"`
	Levelling   *wear.Due          `json:"levelling"`   // nil: no year can be given
	LeastCrown  *LeastCrownYear    `json:"least_crown"` // when the frets are worn out; likewise
	WantsNow    []string           `json:"wants_now"`   // kinds of work: "rod", "press", "level"
	Letter      []CardParagraph    `json:"letter"`
	Crowns      []CrownAnswer      `json:"crowns"` // of the latest reading
}

// CardStage is how a neck was at one stage.
type CardStage struct {
	ComparedStage
	Verdict string  `json:"verdict"`
	ZoneMM  num.Opt `json:"zone_mm"` // of the worst lane

	withinMM num.Opt // the most that it may be
}

// CardParagraph is a heading and what stands under it.
type CardParagraph struct {
	Heading string   `json:"heading"`
	Words   []string `json:"words"`
}

// BookCard writes the letter: how the neck left the shop, how it is now, what wears,
// when it will want work. Errors: those of BookCompare. The layout is for pictures.
func BookCard(ctx context.Context, s book.Store, r BookCardRequest) (*BookCardAnswer, *geometry.Layout, error) {
	records, err := book.RecordsOf(ctx, s, r.Serial)
	if err != nil {
		return nil, nil, err
	}
	now, err := cardStageOf(ctx, s, records, r.Now)
	if err != nil {
		return nil, nil, err
	}
	a := &BookCardAnswer{Serial: r.Serial, Model: now.Model.Name, ZoneLimitMM: now.Model.Level.Zone, Now: cardStage(now), WantsNow: []string{}}
	frets, err := Frets(ctx, FretsRequest{Model: now.Model, Layout: now.Layout, Readings: now.Readings})
	if err != nil {
		return nil, nil, err
	}
	a.Crowns = frets.Crowns
	a.wants(frets)
	left, err := leftOf(ctx, s, records, now, r.Left)
	if err != nil {
		return nil, nil, err
	}
	if left != nil {
		if err := a.compare(left, now, r.Serial); err != nil {
			return nil, nil, err
		}
	}
	a.write()
	return a, now.Layout, nil
}

func cardStageOf(ctx context.Context, s book.Store, records []book.Record, stage string) (*comparedStage, error) {
	b, err := book.StageOf(ctx, s, records, stage)
	if err != nil {
		return nil, err
	}
	return estimated(b)
}

func cardStage(c *comparedStage) CardStage {
	a := CardStage{ComparedStage: c.answer, Verdict: string(c.whole.Verdict)}
	if len(c.whole.Lanes) > 0 {
		a.ZoneMM, a.withinMM = num.Some(c.whole.ZoneMM()), num.Some(c.whole.WithinMM())
	}
	return a
}

// leftOf is how a neck left the shop: at the stage named, else its latest earlier record
// since which strings had the time to wear something. Nil: there is none.
func leftOf(ctx context.Context, s book.Store, records []book.Record, now *comparedStage, stage string) (*comparedStage, error) {
	if stage != "" {
		left, err := cardStageOf(ctx, s, records, stage)
		if err == nil {
			err = book.SameNeck(left.Stage, now.Stage)
		}
		return left, err
	}
	for _, r := range earlier(records, now.Record) {
		if !wear.TimeToWear(r.At(), now.Record.At()) {
			continue
		}
		left, err := stageOfRecord(ctx, s, r)
		if err == nil && book.SameNeck(left.Stage, now.Stage) == nil {
			return left, nil
		}
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
	}
	return nil, nil
}

// compare says what changed since the neck left.
func (a *BookCardAnswer) compare(left, now *comparedStage, serial string) error {
	l := cardStage(left)
	a.Left = &l
	r := BookCompareRequest{Serial: serial, From: left.Record.Stage, To: now.Record.Stage, Confidence: compareConfidence}
	c, err := newComparison(left, now, r)
	if err != nil {
		return err
	}
	a.Compared = c.told()
	a.Years, a.LeastCrown = a.Compared.Years, a.Compared.LeastCrown
	a.Levelling = c.res.Due(wear.Playing{Years: a.Years, To: a.Now.Date, Confidence: compareConfidence}, a.ZoneLimitMM)
	return nil
}

// Kinds of work that a neck may want.
const (
	wantsRod   = "rod"
	wantsPress = "press"
	wantsLevel = "level"
)

// wants notes what the latest reading asks for.
func (a *BookCardAnswer) wants(f *FretsAnswer) {
	rod := slices.ContainsFunc(f.Findings, func(x NeckFinding) bool { return x.Kind == findings.KindBow })
	grooved := slices.ContainsFunc(f.Findings, func(x NeckFinding) bool { return x.Kind == findings.KindWorn })
	if rod {
		a.WantsNow = append(a.WantsNow, wantsRod)
	}
	if f.Work != nil && len(f.Work.First) > 0 && !rod {
		a.WantsNow = append(a.WantsNow, wantsPress)
	}
	if f.Verdict == string(straight.NotLevel) && (!rod || grooved) {
		a.WantsNow = append(a.WantsNow, wantsLevel)
	}
}

// write puts the answer into an owner's words.
func (a *BookCardAnswer) write() {
	say := func(heading string, words ...string) {
		a.Letter = append(a.Letter, CardParagraph{heading, slices.DeleteFunc(words, func(s string) bool { return s == "" })})
	}
	state := func(s CardStage, years float64) string {
		return text.LetterState(s.Date, years, s.Verdict, s.withinMM.OrNaN(), a.ZoneLimitMM)
	}
	if a.Left == nil {
		say(text.LetterRead, state(a.Now, 0), text.LetterPaper)
		say(text.LetterWears, text.LetterOneVisit)
		bring := ""
		if len(a.WantsNow) == 0 {
			bring = text.LetterBring(0, false)
		}
		say(text.LetterWork, a.wantsSaid(), bring)
		return
	}
	bow := ""
	if a.Compared.Bow != nil {
		bow = text.LetterBow(*a.Compared.Bow)
	}
	say(text.LetterLeft, state(*a.Left, 0), text.LetterPaper)
	say(text.LetterNow, state(a.Now, a.Years.Or(0)), bow)
	say(text.LetterWears, a.wearSaid()...)
	say(text.LetterWork, a.whenSaid()...)
}

func (a *BookCardAnswer) wantsSaid() string {
	has := func(kind string) bool { return slices.Contains(a.WantsNow, kind) }
	return text.LetterWants(has(wantsRod), has(wantsPress), has(wantsLevel))
}

// wearSaid says what wore and moved since the neck left.
func (a *BookCardAnswer) wearSaid() (words []string) {
	c := a.Compared
	var frets []int
	var lanes []float64
	for _, f := range c.Frets {
		if len(f.Worn) == 0 {
			continue
		}
		frets = append(frets, f.Fret)
		for _, l := range f.Worn {
			if !slices.Contains(lanes, l) {
				lanes = append(lanes, l)
			}
		}
	}
	if len(frets) > 0 && len(c.Wear) > 0 {
		slices.Sort(lanes)
		deepest := slices.MaxFunc(c.Wear, func(x, y WornCrown) int { return cmp.Compare(x.DepthMM, y.DepthMM) })
		words = append(words, text.LetterWorn(frets, lanes, deepest))
	}
	moved := map[string][]int{}
	var ways []string // in order of the first
	for _, f := range c.Frets {
		if f.moved != "" && moved[f.moved] == nil {
			ways = append(ways, f.moved)
		}
		moved[f.moved] = append(moved[f.moved], f.Fret)
	}
	for _, how := range ways {
		words = append(words, text.LetterMoved(moved[how], how))
	}
	switch {
	case len(words) > 0:
	case !c.SameState:
		words = append(words, text.LetterTwoStates)
	default:
		words = append(words, text.LetterUnworn(c.Verdict == string(wear.Unchanged), c.leaves, c.SeesMM))
	}
	return words
}

// whenSaid says when the neck will want work.
func (a *BookCardAnswer) whenSaid() []string {
	words := []string{a.wantsSaid()}
	level := slices.Contains(a.WantsNow, wantsLevel)
	if a.Levelling != nil && !level {
		words = append(words, text.LetterDue(*a.Levelling))
	}
	if a.LeastCrown != nil {
		measured := !slices.ContainsFunc(a.Compared.Wear, func(w WornCrown) bool { return !w.Measured })
		words = append(words, text.LetterNewFrets(*a.LeastCrown, measured))
	}
	worn := len(a.Compared.Wear) > 0
	switch {
	case worn && !a.Years.Known():
		words = append(words, text.LetterNoDate)
	case worn && (a.LeastCrown != nil || a.Levelling != nil && !level):
		words = append(words, text.LetterAsPlayed)
	case !worn && a.Compared.SameState:
		words = append(words, text.LetterNoWear)
	}
	switch {
	case level:
	case a.Levelling != nil:
		year, known := a.Levelling.SoonestYear.Get()
		words = append(words, text.LetterBring(year, known))
	default:
		words = append(words, text.LetterBring(0, false))
	}
	return words
}
