package bench

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/bench/draft"
)

// tickOf is the box of a crown; metal under half a micrometre rounds up to one.
func tickOf(c answer.PlanCrown) draft.Tick {
	return draft.Tick{Site: draft.NewSite(c.Lane, c.Fret), Micron: max(1, int(c.RemoveMM*1000+0.5))}
}

// valueOf is a box as a form names it: "7@1:23".
func valueOf(t draft.Tick) string { return fmt.Sprintf("%s:%d", t.Site, t.Micron) }

// parseTick reads what valueOf wrote.
func parseTick(text string) (t draft.Tick, ok bool) {
	site, micron, ok := strings.Cut(text, ":")
	if !ok {
		return t, false
	}
	var err error
	if t.Site, err = draft.ParseSite(site); err != nil {
		return t, false
	}
	t.Micron, err = strconv.Atoi(micron)
	return t, err == nil
}

// tickPlan keeps ticks: "box" names every box that the form shows, "on" those
// that are ticked. Only what differs from what is kept is changed.
func (s *Server) tickPlan(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	if err := s.formUpTo(w, r, maxWide); err != nil {
		return err
	}
	wrong := refuse(http.StatusUnprocessableEntity, s.renderer.words.Say("plan.wrongbox"))
	on := map[string]bool{}
	for _, v := range r.PostForm["on"] {
		on[v] = true
	}
	var ticks []draft.Tick
	for _, v := range r.PostForm["box"] {
		t, ok := parseTick(v)
		if !ok {
			return wrong
		}
		t.Off = !on[v]
		ticks = append(ticks, t)
	}
	if len(ticks) == 0 {
		return wrong
	}
	if err := k.Tick(workOf(k).stage, ticks, screenOf(r.PostForm)); err != nil {
		return err
	}
	if wantsJSON(r) {
		s.json(w, http.StatusOK, map[string]any{"ok": true})
		return nil
	}
	return redirect(w, r, "/necks/%s/plan?seated=%s#card", k.ID(), seatedWords(seatedOf(r, workOf(k).layout)))
}
