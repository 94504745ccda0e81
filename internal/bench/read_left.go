package bench

import (
	"slices"

	"ringtrue/internal/answer"
	"ringtrue/internal/bench/draft"
	"ringtrue/internal/straight"
	"ringtrue/internal/unit"
)

// byFile reports whether a file has told of crowns of the pass's stage, and what
// the readings say is known as they are now.
func byFile(st *draft.State, p *draft.Pass, n *analysis) bool {
	return p.Stage == st.Stage() && st.Filed(p.Stage) > 0 && n != nil && n.frets != nil && n.stage == p.Stage && n.version == st.Version
}

// openSite is where a pass begins: after a file, the first place without a
// reading whose crown is still open; else as it was.
func openSite(st *draft.State, p *draft.Pass, at draft.Site, n *analysis) draft.Site {
	if !byFile(st, p, n) {
		return at
	}
	open := map[draft.Site]bool{}
	for _, u := range n.frets.Undetermined {
		open[draft.NewSite(u.Lane, u.Fret)] = true
	}
	for _, r := range n.frets.Recheck {
		if len(open) == 0 { // nothing is open but what is wanted again
			open[draft.NewSite(r.Lane, r.Fret)] = true
		}
	}
	for _, site := range st.Sites(p) {
		if st.Entry(p.Number, site) == nil && open[draft.NewSite(site.Lane(), site.Fret())] {
			return site
		}
	}
	return at
}

// decided reports whether a pass may end early: lanes that are read through are not
// level, whatever the others say, and nothing read is to be taken again.
func decided(st *draft.State, p *draft.Pass, n *analysis) bool {
	if n == nil || n.frets == nil || p.Stage != st.Stage() || n.stage != p.Stage || n.version != st.Version {
		return false
	}
	a := n.frets
	if a.Verdict != string(straight.NotLevel) || len(a.Recheck) > 0 {
		return false
	}
	through := 0
	for _, lane := range a.Lanes {
		if !slices.ContainsFunc(a.Undetermined, func(u answer.Undetermined) bool { return u.Lane == lane.Lane }) {
			through++
		}
	}
	return through >= 2 && len(a.Undetermined) > 0
}

// left says that the readings decide already, or what is still wanted where the
// crowns are known by file, though the pass has no reading here; empty where the pass
// leads as it should.
func (l *renderer) left(st *draft.State, p *draft.Pass, at draft.Site, n *analysis) string {
	if decided(st, p, n) {
		return l.words.Say("read.decided")
	}
	if !byFile(st, p, n) || st.Entry(p.Number, at) != nil || len(n.frets.Undetermined) > 0 {
		return ""
	}
	say, a := l.words.Say, n.frets
	switch {
	case len(a.Recheck) > 0:
		r := a.Recheck[0]
		return say("read.leftagain", r.Fret, unit.Decimal(r.Lane))
	case len(a.NextReadings) > 0:
		return say("read.leftnext", l.nextReading(a.NextReadings[0]))
	}
	return say("read.leftnone")
}
