package bench

import (
	"errors"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/fileerr"
	"ringtrue/internal/reading"
	"ringtrue/internal/unit"
)

// press is what a maker did on the page for reading.
type press struct {
	do     string // keep, rocks, still, back, skip, undo, misread
	typed  string
	p      *draft.Pass
	at     draft.Site
	seen   int
	over   string // which reading may be replaced, by what: see overOf
	screen string
}

// pressed is what came of it.
type pressed struct {
	at    draft.Site // where the gauge goes now
	kept  draft.Site // where a reading was kept; empty for none
	said  string
	keep  bool   // leave what is typed in the field
	over  string // the reading there and what would replace it: see overOf
	end   bool   // the pass is through
	plain bool   // said is no more than what was kept
}

func pressOf(v url.Values) press {
	p := press{do: v.Get("do"), typed: strings.TrimSpace(cut(v.Get("reading"), 60)), over: cut(v.Get("over"), 80), screen: screenOf(v)}
	p.seen, _ = strconv.Atoi(v.Get("seen"))
	if p.do == "" {
		p.do = "keep"
	}
	return p
}

// screenOf is the name that a screen gave itself, in a few letters.
func screenOf(v url.Values) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return -1
	}, cut(v.Get("screen"), 12))
}

// deed does what was pressed, or what a gauge on a line reads. What is refused is
// told in what comes of it, with the status of the answer; an error is one of the
// inside.
func (s *Server) deed(k *draft.Neck, p press) (out pressed, status int, err error) {
	out, err = s.press(k, p)
	switch {
	case errors.Is(err, draft.ErrReplaces):
		return s.replaces(k, p), http.StatusConflict, nil
	case errors.Is(err, draft.ErrConflict):
		return pressed{at: p.at, keep: true, said: s.clash(k, p)}, http.StatusConflict, nil
	case fileerr.Is(err), isRefusal(err):
		return pressed{at: p.at, keep: true, said: plainFaults(err)}, http.StatusUnprocessableEntity, nil
	}
	return out, http.StatusOK, err
}

// alarmed is what does not look right since a deed: before are the questions that
// were open before it.
func (s *Server) alarmed(k *draft.Neck, p press, done pressed, before []question) string {
	words := alarmOf(before, s.asked(k), done.kept, p.p.Number)
	if words == "" && done.kept != "" {
		words = s.renderer.alarm(k, s.analyst.latest(k), p.p, done.kept)
	}
	return words
}

// press does what was pressed.
func (s *Server) press(k *draft.Neck, p press) (pressed, error) {
	say := s.renderer.words.Say
	if pass, at, ok := stood(p.do); ok {
		return s.stand(k, p, pass, at)
	}
	switch p.do {
	case "back", "skip":
		steps := map[string]int{"back": -1, "skip": 1}[p.do]
		out := pressed{}
		k.Read(func(st *draft.State) { out.at = st.Beside(p.p, p.at, steps) })
		return out, nil
	case "undo":
		return s.undo(k, p)
	case "misread":
		at := s.misreadAt(k, p)
		if _, err := k.Mark(p.p.Number, at, p.seen, p.screen); err != nil {
			return pressed{}, err
		}
		return pressed{at: at, said: say("read.markednow")}, nil
	case "rocks", "still":
		p.typed = p.do
	case "keep":
	default:
		return pressed{}, refuse(http.StatusBadRequest, say("refused.form"))
	}
	if p.typed == "" && p.over != "" {
		return s.leaves(k, p), nil
	}
	if p.typed == "" {
		return s.entered(k, p), nil
	}
	put, err := p.put()
	if err != nil {
		return pressed{}, err
	}
	put.Again, put.Over = s.again(k, put), p.mayReplace()
	if _, err := k.Set(put); err != nil {
		return pressed{}, err
	}
	out := pressed{kept: p.at}
	var done bool
	k.Read(func(st *draft.State) { out.at, done = st.Next(p.p, p.at) })
	out.said = say("read.keptnow", s.renderer.asTyped(saidOf(put)), p.at.Named(), unit.Decimal(p.at.Lane()))
	if put.Again {
		out.said += " " + say("read.bothstand")
	}
	out.end, out.plain = done, !put.Again && !done
	if done {
		out.said += " " + say("read.passdone")
	}
	return out, nil
}

// misreadAt is the crown that a press of Misread is of: the one shown, or where that
// has no reading, the last that was kept in its pass.
func (s *Server) misreadAt(k *draft.Neck, p press) draft.Site {
	at := p.at
	recent := k.Recent(maxRecent)
	k.Read(func(st *draft.State) {
		if st.Entry(p.p.Number, p.at) != nil {
			return
		}
		for _, e := range recent {
			if e.Pass == p.p.Number && stillThere(st, e) {
				at = e.Site
				return
			}
		}
	})
	return at
}

// stillThere reports whether an event put a reading that stands as it was put.
func stillThere(st *draft.State, e draft.Event) bool {
	if e.Kind != draft.Set {
		return false
	}
	now := st.Entry(e.Pass, e.Site)
	return now != nil && !now.Misread && now.Reading == e.Reading && now.NoGo == e.NoGo
}

func saidOf(p draft.Put) string {
	e := draft.Entry{Reading: p.Reading, NoGo: p.NoGo, Unit: p.Unit}
	return e.Said()
}

func (s *Server) undo(k *draft.Neck, p press) (pressed, error) {
	taken, err := k.Undo(p.seen, p.screen)
	if err != nil {
		if taken.Version == 0 { // there was none
			return pressed{at: p.at, said: s.renderer.words.Say("read.noundo")}, nil
		}
		return pressed{}, err
	}
	out := pressed{at: p.at, said: s.renderer.words.Say("read.undone")}
	if taken.Site != "" {
		out.said = s.renderer.words.Say("read.undonenow", taken.Site.Named(), unit.Decimal(taken.Site.Lane()))
		if taken.Pass == p.p.Number {
			out.at = taken.Site
		}
	}
	return out, nil
}

// put reads what was typed: a number, with a decimal point or comma and perhaps
// its unit; for feelers perhaps the leaf that no longer enters behind it; for a
// rocker also rocks or still, or their first letters.
func (p press) put() (draft.Put, error) {
	put := draft.Put{Pass: p.p.Number, Site: p.at, Unit: p.p.Unit, Seen: p.seen, Screen: p.screen}
	text := strings.ToLower(p.typed)
	if reading.Method(p.p.Method).Spec().Rocks {
		for _, answer := range []string{"rocks", "still"} {
			if text == answer || text == answer[:1] {
				put.Reading = answer
				return put, nil
			}
		}
	}
	text, put.Unit = splitUnit(text, put.Unit)
	parts := strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == '/' || r == '\t' })
	if len(parts) == 0 || len(parts) > 2 {
		return put, refuse(http.StatusUnprocessableEntity, unit.Quote(p.typed)+" is not a number; write it like 0.58")
	}
	for i, part := range parts {
		n, err := plainNumber(part)
		if err != nil {
			return put, refuse(http.StatusUnprocessableEntity, err.Error())
		}
		parts[i] = n
	}
	put.Reading = parts[0]
	if len(parts) == 2 {
		put.NoGo = parts[1]
	}
	return put, nil
}

// splitUnit takes the unit off what a gauge typed.
func splitUnit(text, own string) (number, unitName string) {
	for _, u := range []struct{ ending, name string }{{"mm", "mm"}, {"inch", "in"}, {"in", "in"}, {"\"", "in"}, {"″", "in"}} {
		if n, ok := strings.CutSuffix(text, u.ending); ok {
			return strings.TrimSpace(n), u.name
		}
	}
	return text, own
}

// plainNumber is a number with a point, without a plus: as it is kept.
func plainNumber(text string) (string, error) {
	text = strings.NewReplacer("−", "-", "–", "-").Replace(text)
	if strings.Count(text, ",") == 1 && !strings.Contains(text, ".") {
		text = strings.Replace(text, ",", ".", 1)
	}
	if _, err := unit.Number(text); err != nil {
		return "", err
	}
	text = strings.TrimPrefix(text, "+")
	if strings.HasPrefix(text, ".") {
		text = "0" + text
	}
	if strings.HasPrefix(text, "-.") {
		text = "-0" + text[1:]
	}
	return text, nil
}

// orders lists the orders in which a method may be read.
func orders(m reading.Method) []string {
	if m.Spec().SetUp != reading.NoSetUp {
		return []string{"along", "outer"}
	}
	return []string{"along", "outer", "across"}
}
