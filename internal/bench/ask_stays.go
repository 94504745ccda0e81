package bench

import (
	"ringtrue/internal/answer"
	"ringtrue/internal/bench/draft"
	"ringtrue/internal/unit"
)

// standing is the alarm that stays until it is answered: the newest open
// question, or where there is none, a reading that all of them together set
// aside.
type standing struct {
	at    draft.Place
	Words string
	Short string // the same for a low screen
	Href  string
	Keep  string // what the button that keeps the reading sends
	More  int    // questions beside it
}

func (l *renderer) standing(st *draft.State, n *analysis, asked []question) standing {
	if len(asked) > 0 {
		return standing{at: draft.Place{Pass: asked[0].Pass, Site: asked[0].Site}, Words: asked[0].words, Short: asked[0].Short, Href: asked[0].Href, Keep: asked[0].Keep, More: len(asked) - 1}
	}
	if n == nil || n.frets == nil || n.stage != st.Stage() {
		return standing{}
	}
	for _, r := range n.frets.Recheck {
		at, ok := n.place(r.Line)
		if !ok || at.Pass == 0 {
			continue // of a file
		}
		if e := st.Entry(at.Pass, at.Site); e != nil && !e.Misread && !e.Stands && e.Taken == at.Taken {
			return standing{at: at, Words: l.disagrees(r), Short: l.words.Say("advice.againat", r.Fret, unit.Decimal(r.Lane), mm(r.ReadingMM), mm(r.ExpectedMM)), Href: readHref(st.ID, at.Pass, at.Site), Keep: standsOf(at.Pass, at.Site)}
		}
	}
	return standing{}
}

// disagrees says that a reading does not agree with the others.
func (l *renderer) disagrees(r answer.Recheck) string {
	return l.words.Say("read.alarm", r.Fret, unit.Decimal(r.Lane), unit.Decimal(sizeIn("mm", r.ReadingMM, 3)), unit.Decimal(sizeIn("mm", r.ExpectedMM, 3)))
}

// alarm says that the reading just taken does not agree with the others, by what
// they mean together.
func (l *renderer) alarm(k *draft.Neck, n *analysis, p *draft.Pass, at draft.Site) string {
	stands := false
	k.Read(func(st *draft.State) {
		if e := st.Entry(p.Number, at); e != nil {
			stands = e.Stands
		}
	})
	if n == nil || n.frets == nil || stands {
		return ""
	}
	for _, r := range n.frets.Recheck {
		from, ok := n.place(r.Line)
		if ok && from.Pass == p.Number && from.Site == at {
			return l.disagrees(r)
		}
	}
	return ""
}
