package bench

import (
	"ringtrue/internal/bench/draft"
	"ringtrue/internal/straight"
	"ringtrue/internal/unit"
)

// passEnd is what a pass leaves to do once its last crown is read, or a neck whose
// readings came by file: one thing, on one key.
type passEnd struct {
	Complete     bool   // nothing of the pass is left to read
	Shown        bool   // and no crown of it was asked for
	Pass         string // which pass is through; empty without one
	Label, Href  string
	Words        string // what is behind the key
	Again        string // the way back to the field; empty without a pass
	Begin, Begun bool   // nothing is read yet; a pass can be begun beside the key
}

// ending says what comes next, in the order in which it matters: readings that
// do not agree, what is not known yet, the work, the book.
func (s *Server) ending(st *draft.State, c cursor, b *readBody, n *analysis) passEnd {
	l, p := s.renderer, b.Pass
	e := passEnd{Complete: true, Begun: true}
	if p != nil {
		_, e.Complete = st.Next(p, c.at)
	}
	if e.Shown = e.Complete && (p == nil || c.end || c.at == ""); !e.Complete {
		return passEnd{}
	}
	pass := "/necks/" + st.ID + "/pass"
	if p != nil {
		e.Pass, e.Again = l.words.Say("end.pass", l.passWords(p), len(st.Sites(p))), readHref(st.ID, p.Number, b.At)
	}
	say := func(label, href, words string) passEnd {
		e.Label, e.Href, e.Words = label, href, words
		e.Begun = href != pass
		return e
	}
	switch next := l.nextAsked(st, n, b.Ask); {
	case next.Href != "":
		if b.Stays.Words != "" { // it says so above the key
			next.Words = ""
		}
		return say(l.words.Say("end.again"), next.Href, next.Words)
	case n == nil || n.frets == nil || n.stage != st.Stage() || len(n.frets.Crowns) == 0:
		e.Begin = p == nil
		return say(l.words.Say("end.next"), pass, "")
	case n.version != st.Version:
		e.Words = l.words.Say("end.wait")
		return e
	case len(n.frets.Undetermined) > 0:
		return say(l.words.Say("end.next"), pass, "") // how many are open is said above
	case len(n.frets.NextReadings) > 0:
		return say(l.words.Say("end.next"), pass, l.nextReading(n.frets.NextReadings[0]))
	case n.frets.Verdict != string(straight.Level):
		return say(l.words.Say("end.work"), "/necks/"+st.ID+"/plan", "")
	case s.cfg.Book == nil:
		return say(l.words.Say("end.play"), "/necks/"+st.ID+"/play", "")
	}
	return say(l.words.Say("end.book"), "/necks/"+st.ID+"/files", "")
}

// nextAsked is the first reading to take again.
func (l *renderer) nextAsked(st *draft.State, n *analysis, asked []question) advice {
	if len(asked) > 0 {
		return advice{Words: asked[0].Short, Href: asked[0].Href}
	}
	if n == nil || n.frets == nil || n.stage != st.Stage() {
		return advice{}
	}
	for _, r := range n.frets.Recheck {
		if from, ok := n.place(r.Line); ok && from.Pass > 0 {
			words := l.words.Say("advice.againat", r.Fret, unit.Decimal(r.Lane), mm(r.ReadingMM), mm(r.ExpectedMM))
			return advice{Words: words, Href: readHref(st.ID, from.Pass, from.Site)}
		}
	}
	return advice{}
}
