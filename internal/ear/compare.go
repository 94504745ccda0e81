package ear

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"ringtrue/internal/num"
	"ringtrue/internal/play"
)

// Comparison is where prediction and ear disagree, the crowns having been read.
type Comparison struct {
	Compared     int            `json:"compared"`       // answers on notes that are surely clear, or surely buzz
	Wrongs       int            `json:"disagreeing"`    // of them
	Expected     float64        `json:"expected_wrong"` // of them, one in ten being wrong
	UExpected    float64        `json:"u_expected_wrong"`
	BeyondChance bool           `json:"beyond_chance"` // more disagree than wrong answers explain
	Hand         num.Opt        `json:"hand,omitzero"` // the force that fits the answers, beside that told, where it is another
	Disagree     []Disagreement `json:"disagree"`
	Look         []Look         `json:"look"` // what buzzes have in common beyond chance
}

// Disagreement is an answer that the prediction rules out.
type Disagreement struct {
	Answer
	Heard     play.Verdict `json:"heard"`
	Predicted play.Verdict `json:"predicted"`
	MarginMM  num.Opt      `json:"margin_mm"` // between string and nearest crown; null where none lies beyond
	Why       string       `json:"why"`       // for the catalogue to fill in: what to look at
	Cause     Cause        `json:"cause"`
}

// Cause is what a disagreement points to.
type Cause string

// The causes.
const (
	Hand   Cause = "hand"   // another force than told explains it
	Nut    Cause = "nut"    // an open string
	String Cause = "string" // one string on many frets
	Fret   Cause = "fret"   // one stop on many strings
	Single Cause = "single" // nothing in common
)

// Look is one thing that buzzes have in common.
type Look struct {
	Cause    Cause   `json:"cause"`
	String   int     `json:"string,omitempty"`
	Fret     int     `json:"fret,omitempty"`
	Notes    int     `json:"notes"` // that buzz
	Of       int     `json:"of"`
	Expected float64 `json:"expected"` // to buzz
	Chance   float64 `json:"chance"`   // that as many do, nothing being wrong
	Says     string  `json:"says"`     // for the catalogue to fill in
}

// Margins within which a prediction is taken as sure.
const (
	sureMarginMM = 0.1  // a crown cannot be that wrong, its readings being right
	buzzWithin   = 0.7  // a note that buzzes at this share of the force surely buzzes
	drawsAgree   = 0.95 // of the crowns as they may truly stand
	byChance     = 0.05 // what is called beyond chance
	handGain     = 3.0  // of log likelihood: a force that is told from that given
	handLeast    = 1.15 // times the force told, or as many times less
	handReaches  = 1.2  // a pluck's scatter about its hand
)

// sight is one answer beside its prediction.
type sight struct {
	Answer
	hits     []hit // over each draw of the crowns; over the crowns as read where there is none
	at       hit   // over the crowns as read
	marginMM num.Opt
	says     play.Verdict // "" where nothing is sure
	chance   float64      // that it is told to buzz, by the hand that fits
}

func (s *sight) disagrees() bool { return s.says != "" && (s.says == play.Buzzes) != s.Buzzes }

// of is the chance that the note is told to buzz at a force beside that told.
func (s *sight) of(force float64) (mean float64) {
	for _, h := range s.hits {
		mean += h.chance(force) / float64(len(s.hits))
	}
	return mean
}

// compare holds answers against what the crowns as read let expect.
func (r *Request) compare(notes []placed, answers []Answer) Comparison {
	all := make([]sight, len(notes))
	for i, n := range notes {
		all[i] = r.sight(&n, answers[i])
	}
	out := Comparison{Disagree: []Disagreement{}, Look: []Look{}}
	for _, s := range all {
		if s.says != "" {
			out.Compared++
		}
		if s.disagrees() {
			out.Wrongs++
		}
	}
	if out.Compared > 0 {
		of := distuv.Binomial{N: float64(out.Compared), P: wrong}
		out.Expected, out.UExpected = of.Mean(), math.Sqrt(of.Variance())
		out.BeyondChance = beyond(out.Wrongs, out.Compared) < byChance
	}
	out.Hand = handOf(all)
	for i := range all {
		all[i].chance = all[i].of(out.Hand.Or(1))
	}
	out.look(all)
	for i := range all {
		if d, does := out.disagreement(&all[i]); does {
			out.Disagree = append(out.Disagree, d)
		}
	}
	return out
}

// beyond is the chance that as many answers of n, or more, are wrong.
func beyond(wrongs, n int) float64 {
	if wrongs == 0 {
		return 1
	}
	return distuv.Binomial{N: float64(n), P: wrong}.Survival(float64(wrongs - 1))
}

// margin is the least of gap less the free string's reach.
func (n *note) margin() num.Opt {
	least := math.Inf(1)
	for k, g := range n.gap {
		least = min(least, g-n.hMM*max(n.sides[0].touch[k], n.sides[1].touch[k]))
	}
	return num.Some(least)
}

// sight looks at an answer beside what the crowns let expect.
func (r *Request) sight(n *placed, a Answer) sight {
	lane := r.Neck.Cases[n.in].Lane
	as := n.over(n.gap)
	s := sight{Answer: a, at: as.hit(), marginMM: n.margin()}
	if r.Neck.MayBe != nil {
		for _, l := range r.Neck.MayBe[lane.String-1] {
			e := n.over(n.on(lane, l))
			s.hits = append(s.hits, e.hit())
		}
	}
	if len(s.hits) == 0 {
		s.hits = []hit{s.at}
	}
	share := func(is func(hit) bool) (share float64) {
		for _, h := range s.hits {
			if is(h) {
				share += 1 / float64(len(s.hits))
			}
		}
		return share
	}
	unseen := slices.ContainsFunc(lane.Missing, func(f int) bool { return f > a.Fret })
	switch {
	case !unseen && s.marginMM.Or(math.Inf(1)) >= sureMarginMM && share(func(h hit) bool { return h.touch.at > 1 }) >= drawsAgree:
		s.says = play.Clear
	case share(func(h hit) bool { return h.buzz.at <= buzzWithin }) >= drawsAgree:
		s.says = play.Buzzes
	}
	return s
}

// on are the gaps over a draw of the lane.
func (n *note) on(lane, drawn play.Lane) []float64 {
	g := slices.Clone(n.gap)
	for j, by := range n.byCrown {
		z := drawn.Crowns[j].ZMM - lane.Crowns[j].ZMM
		switch k := j - n.beyond; {
		case by != nil:
			for k := range g {
				g[k] += z * by[k]
			}
		case k >= 0:
			g[k] -= z
		}
	}
	return g
}

// handOf is the force, beside that told, that fits all answers clearly better. Fewer
// buzzes than wrong answers and uneven plucks give only say that the ear is good and the
// hand even: a lighter hand wants notes heard clear that must buzz.
func handOf(all []sight) num.Opt {
	fit := func(force float64) (sum float64) {
		for i := range all {
			p := all[i].of(force)
			if !all[i].Buzzes {
				p = 1 - p
			}
			sum += math.Log(p)
		}
		return sum
	}
	best, most := 1.0, fit(1)
	told := most
	const steps = 20
	for k := -steps; k <= steps; k++ {
		force := math.Pow(touchOver, float64(k)/steps)
		if l := fit(force); l > most {
			best, most = force, l
		}
	}
	if most-told < handGain || best < handLeast && best > 1/handLeast || best < 1 && !mustBuzz(all) {
		return num.Opt{}
	}
	return num.Some(best)
}

// mustBuzz says that more notes that must buzz are heard clear than wrong answers give.
func mustBuzz(all []sight) bool {
	clear, of := 0, 0
	for i := range all {
		if all[i].says == play.Buzzes {
			of++
			if !all[i].Buzzes {
				clear++
			}
		}
	}
	return clear >= 2 && beyond(clear, of) < byChance
}

// handExplains says that another hand gives the answer that was heard.
func (c *Comparison) handExplains(s *sight) bool {
	force, known := c.Hand.Get()
	if !known {
		return false
	}
	if s.Buzzes {
		return force > 1 && s.at.touch.at <= force*handReaches
	}
	return force < 1 && s.at.buzz.at >= force/handReaches
}

// look finds what buzzes have in common beyond chance: the open strings, one string,
// one stop. Each chance is held against as many looks as are taken.
func (c *Comparison) look(all []sight) {
	looks := []Look{{Cause: Nut}}
	strings, frets := 0, 0
	for _, s := range all {
		strings, frets = max(strings, s.String), max(frets, s.Fret)
	}
	for n := 1; n <= strings; n++ {
		looks = append(looks, Look{Cause: Nut, String: n}, Look{Cause: String, String: n})
	}
	for f := 1; f <= frets; f++ {
		looks = append(looks, Look{Cause: Fret, Fret: f})
	}
	for _, l := range looks {
		var chances []float64
		for i := range all {
			if s := &all[i]; l.has(s) {
				chances = append(chances, s.chance)
				l.Of++
				l.Expected += s.chance
				if s.Buzzes {
					l.Notes++
				}
			}
		}
		if l.Chance = asMany(l.Notes, chances); l.Notes >= 2 && l.Chance < byChance/float64(len(looks)) {
			c.Look = append(c.Look, l)
		}
	}
	if slices.ContainsFunc(c.Look, func(l Look) bool { return l.Cause == Nut && l.String == 0 }) {
		c.Look = slices.DeleteFunc(c.Look, func(l Look) bool { return l.Cause == Nut && l.String > 0 })
	}
	slices.SortStableFunc(c.Look, func(a, b Look) int { return cmp.Compare(a.Chance, b.Chance) })
}

// has says whether a look takes in a note.
func (l *Look) has(s *sight) bool {
	switch l.Cause {
	case Nut:
		return s.Fret == 0 && (l.String == 0 || l.String == s.String)
	case String:
		return s.Fret > 0 && s.String == l.String
	}
	return s.Fret == l.Fret
}

// asMany is the chance that n or more come true of things with these chances each.
func asMany(n int, chances []float64) float64 {
	exactly := make([]float64, len(chances)+1)
	exactly[0] = 1
	for i, p := range chances {
		for k := i + 1; k > 0; k-- {
			exactly[k] += (exactly[k-1] - exactly[k]) * p
		}
		exactly[0] *= 1 - p
	}
	sum := 0.0
	for _, p := range exactly[min(n, len(exactly)):] {
		sum += p
	}
	return sum
}

// disagreement says what an answer points to; false where it agrees.
func (c *Comparison) disagreement(s *sight) (Disagreement, bool) {
	d := Disagreement{Answer: s.Answer, Heard: play.Clear, Predicted: s.says, MarginMM: s.marginMM, Cause: Single}
	if s.Buzzes {
		d.Heard = play.Buzzes
	}
	k := slices.IndexFunc(c.Look, func(l Look) bool { return l.has(s) })
	shared := k >= 0 && s.Buzzes && s.at.touch.at > 1 // clear as told, though not by much
	if !s.disagrees() && !shared {
		return d, false
	}
	if shared {
		d.Predicted = play.Clear
	}
	switch {
	case c.handExplains(s):
		d.Cause = Hand
	case s.Fret == 0 && s.Buzzes:
		d.Cause = Nut
	case shared:
		d.Cause = c.Look[k].Cause
	}
	return d, true
}
