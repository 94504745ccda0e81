package bench

import (
	"ringtrue/internal/bench/draft"
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
	for _, site := range st.Sites(p) {
		if st.Entry(p.Number, site) == nil && open[draft.NewSite(site.Lane(), site.Fret())] {
			return site
		}
	}
	return at
}

// left says what is still wanted where the crowns are known by file, though the
// pass has no reading here; empty where the pass leads as it should.
func (l *look) left(st *draft.State, p *draft.Pass, at draft.Site, n *analysis) string {
	if !byFile(st, p, n) || st.Entry(p.Number, at) != nil || len(n.frets.Undetermined) > 0 {
		return ""
	}
	say, a := l.words.say, n.frets
	switch {
	case len(a.Recheck) > 0:
		r := a.Recheck[0]
		return say("read.leftagain", r.Fret, unit.Decimal(r.Lane))
	case len(a.NextReadings) > 0:
		return say("read.leftnext", l.nextReading(a.NextReadings[0]))
	}
	return say("read.leftnone")
}
