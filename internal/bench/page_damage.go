package bench

import (
	"net/http"
	"slices"
	"strconv"

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

// damageNotice is what every page of a neck says of damage until the maker puts it
// away; the page of files says it ever after.
type damageNotice struct {
	Words []string
	Count int
}

func (s *Server) damageNotice(st *draft.State) damageNotice {
	if st.Noted == len(st.Damages) {
		return damageNotice{}
	}
	return damageNotice{s.damage(st), len(st.Damages)}
}

// noteDamage puts the notice away.
func (s *Server) noteDamage(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	count, err := strconv.Atoi(r.PostForm.Get("damages"))
	if err != nil {
		return refuse(http.StatusBadRequest, s.renderer.words.Say("refused.form"))
	}
	if err := k.NoteDamage(count, screenOf(r.PostForm)); err != nil {
		return err
	}
	return redirect(w, r, "/necks/%s", k.ID())
}

// unread names the journals that no neck could be made of, for the first page.
func (s *Server) unread() []string {
	var out []string
	for _, name := range s.cfg.Folder.Unread() {
		out = append(out, s.renderer.words.Say("damage.unread", name))
	}
	return out
}
