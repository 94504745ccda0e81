package bench

import (
	"slices"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/straight"
	"ringtrue/internal/unit"
)

// step is what comes next for a neck: a line, and the page where it is done.
type step struct{ Words, Href string }

// stepOf is the next step of a neck in work. j is what its readings mean, nil
// where that is being worked out.
func (l *renderer) stepOf(st *draft.State, j *judgement) step {
	say, own := l.words.Say, "/necks/"+st.ID
	switch {
	case j == nil:
		return step{say("step.wait"), own}
	case j.fault != "":
		return step{j.fault, own}
	case j.asks != "":
		return step{say("step.asks", j.asks), j.askAt}
	case len(j.again) > 0:
		return step{l.readAgain(j), l.againHref(st, j.again[0])}
	}
	p, _ := settle(st, cursor{})
	switch {
	case p == nil && st.Readings(st.Stage()) == 0:
		return step{say("step.begin"), own + "/pass"}
	case p != nil && (j.verdict == "" || j.open > 0):
		if at, open := openIn(st, p, j); open {
			return step{say("step.read", at.Fret(), unit.Decimal(at.Lane())), readHref(st.ID, p.Number, at)}
		}
	}
	switch {
	case j.open > 0:
		return step{say("step.read", j.opens[0].fret, unit.Decimal(j.opens[0].lane)), own + "/pass"}
	case j.verdict == "":
		return step{say("step.look"), own}
	}
	return l.stepOfWork(j, own)
}

// openIn is the first place of a pass without a reading; where files have told of
// crowns, of those that are not determined.
func openIn(st *draft.State, p *draft.Pass, j *judgement) (at draft.Site, open bool) {
	filed := st.Filed(p.Stage) > 0
	for _, site := range st.Sites(p) {
		e := st.Entry(p.Number, site)
		if (e == nil || e.Misread) && (!filed || slices.Contains(j.opens, fretIn{site.Fret(), site.Lane()})) {
			return site, true
		}
	}
	return "", false
}

// stepOfWork is the next step once every crown is read.
func (l *renderer) stepOfWork(j *judgement, own string) step {
	say := l.words.Say
	switch {
	case j.whole != "":
		return step{say("step.whole", j.whole), own + "/plan"}
	case len(j.frets) > 1:
		return step{say("step.andmore", capital(j.frets[0]), len(j.frets)-1), own + "/plan"}
	case len(j.frets) > 0:
		return step{capital(j.frets[0]), own + "/plan"}
	case j.file:
		return step{say("step.file"), own + "/plan"}
	case j.verdict == string(straight.Level):
		return step{say("step.play"), own + "/play"}
	case j.settle != "":
		return step{say("step.settle", j.settle), own + "/pass"}
	case j.why != "":
		return step{j.why, own}
	}
	return step{say("step.look"), own}
}

// readAgain names the first reading to take again, and how many more there are.
func (l *renderer) readAgain(j *judgement) string {
	words := l.words.Say("step.again", j.again[0].fret, unit.Decimal(j.again[0].lane))
	if n := len(j.again) - 1; n > 0 {
		words = l.words.Say("step.andmore", words, n)
	}
	return words
}

// againHref is where the latest pass of the stage that reads a crown reads it.
func (l *renderer) againHref(st *draft.State, at fretIn) string {
	for _, p := range slices.Backward(st.Passes) {
		if p.Stage != st.Stage() {
			break
		}
		if site, ok := st.SiteAt(p, draft.NewSite(at.lane, at.fret)); ok {
			return readHref(st.ID, p.Number, site)
		}
	}
	return "/necks/" + st.ID + "/pass"
}

// stepOfRecord is the next step of a neck by what the book has of it: its page is
// all there is.
func (l *renderer) stepOfRecord(j *judgement) string {
	switch {
	case j.fault != "":
		return j.fault
	case len(j.again) > 0:
		return l.readAgain(j)
	case j.open > 0:
		return l.words.Say("step.read", j.opens[0].fret, unit.Decimal(j.opens[0].lane))
	}
	return l.stepOfWork(j, "").Words
}
