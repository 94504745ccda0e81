package bench

import (
	"slices"

	"ringtrue/internal/bench/draft"
)

// damage says what was found damaged in a neck's journal; empty for nothing.
func (s *Server) damage(st *draft.State) []string {
	say := s.renderer.words.Say
	var out []string
	for _, d := range st.Damages {
		file := s.cfg.Folder.Path(d.File)
		if d.Lost == 0 {
			out = append(out, say("damage.repaired", file))
			continue
		}
		out = append(out, say("damage.lost", d.Lost, file))
	}
	if st.LeftOut > 0 {
		out = append(out, say("damage.leftout", st.LeftOut))
	}
	return slices.Compact(out)
}

// unread names the journals that no neck could be made of, for the first page.
func (s *Server) unread() []string {
	var out []string
	for _, name := range s.cfg.Folder.Unread() {
		out = append(out, s.renderer.words.Say("damage.unread", name))
	}
	return out
}
