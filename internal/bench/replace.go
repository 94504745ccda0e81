package bench

import (
	"strconv"
	"strings"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/unit"
)

// overOf is what a form sends with a second Enter: the version of the reading
// that is there, and what was typed to replace it. Another number typed
// meanwhile, by a gauge for instance, is asked of again.
func overOf(version int, typed string) string { return strconv.Itoa(version) + " " + typed }

// mayReplace is the version of the reading that a press may replace, 0 for none.
func (p press) mayReplace() int {
	version, typed, _ := strings.Cut(p.over, " ")
	n, err := strconv.Atoi(version)
	if err != nil || typed != p.typed {
		return 0
	}
	return n
}

// replaces asks before a reading takes another's place.
func (s *Server) replaces(k *draft.Neck, p press) pressed {
	out := pressed{at: p.at, keep: true}
	k.Read(func(st *draft.State) {
		e := st.Entry(p.p.Number, p.at)
		if e == nil {
			return
		}
		key := "read.replaces"
		if e.Version > p.seen && e.Screen != p.screen {
			key = "read.clash"
		}
		said := s.renderer.asTyped(e.Said())
		out.said = s.renderer.words.Say(key, said, p.at.Named(), unit.Decimal(p.at.Lane()), p.typed)
		out.over = overOf(e.Version, p.typed)
	})
	return out
}

// leaves is Enter on the field that was emptied after replaces: the reading
// stays, and the gauge goes on.
func (s *Server) leaves(k *draft.Neck, p press) pressed {
	out := pressed{at: p.at}
	k.Read(func(st *draft.State) {
		if e := st.Entry(p.p.Number, p.at); e != nil {
			out.said = s.renderer.words.Say("read.stays", s.renderer.asTyped(e.Said()), p.at.Named(), unit.Decimal(p.at.Lane()))
		}
		out.at, out.end = st.Next(p.p, p.at)
	})
	return out
}

// clash says that another screen has changed what a press is of.
func (s *Server) clash(k *draft.Neck, p press) string {
	if p.do == "undo" {
		return s.renderer.words.Say("read.clashundo")
	}
	return s.renderer.words.Say("read.changed", p.at.Named(), unit.Decimal(p.at.Lane()))
}
