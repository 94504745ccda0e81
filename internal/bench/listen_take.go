package bench

import (
	"errors"
	"fmt"
	"io"
	"net/http"
	"strconv"
	"strings"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/bench/playthrough"
	"ringtrue/internal/listen"
	"ringtrue/internal/unit"
)

// maxStretch is what one stretch of sound may bring, in bytes: some seconds.
const maxStretch = 2 << 20

// listenNow is what changes while a neck is played through.
type listenNow struct {
	String, Fret int
	Open, Done   bool
	Pitch        string
	Heard        string // the note heard last, in words
	Ear          string // what was said of it
	Count        string
	Strings      []listenString
}

// listenString is how far one string is.
type listenString struct{ Name, Words string }

// beginListening begins a play-through and tells its notes.
func (s *Server) beginListening(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	q, touch, err := s.listenAsked(r, k)
	if err != nil {
		return err
	}
	rate, _ := strconv.ParseFloat(r.FormValue("rate"), 64)
	t, err := s.takes.Begin(k.ID(), s.cfg.Now(), func(id string) (*playthrough.Take, error) {
		return playthrough.New(id, q, rate, touch)
	})
	switch {
	case errors.Is(err, playthrough.ErrBusy):
		return refuse(http.StatusServiceUnavailable, s.renderer.words.Say("listen.busy"))
	case errors.Is(err, playthrough.ErrRate):
		return refuse(http.StatusUnprocessableEntity, s.renderer.words.Say("listen.norate", r.FormValue("rate")))
	case err != nil:
		return err
	}
	state, err := t.Add(0, nil, nil)
	if err != nil {
		return err
	}
	return s.tellListening(w, t, state)
}

// take is the play-through that a request names.
func (s *Server) take(r *http.Request, k *draft.Neck) (*playthrough.Take, error) {
	if t := s.takes.Of(k.ID(), r.FormValue("take"), s.cfg.Now()); t != nil {
		return t, nil
	}
	return nil, refuse(http.StatusGone, s.renderer.words.Say("listen.gone"))
}

// hearStretch takes the next stretch of sound.
func (s *Server) hearStretch(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	query := r.URL.Query() // the body is sound, no form
	t := s.takes.Of(k.ID(), query.Get("take"), s.cfg.Now())
	if t == nil {
		return refuse(http.StatusGone, s.renderer.words.Say("listen.gone"))
	}
	at, err := strconv.Atoi(query.Get("at"))
	marks, known := marksOfQuery(query["mark"])
	if err != nil || !known {
		return refuse(http.StatusBadRequest, s.renderer.words.Say("refused.form"))
	}
	pcm, err := io.ReadAll(http.MaxBytesReader(w, r.Body, maxStretch))
	if err != nil {
		return s.formError(err)
	}
	state, err := t.Add(at, pcm, marks)
	if err != nil {
		return refuse(http.StatusBadRequest, s.renderer.words.Say("refused.form"))
	}
	return s.tellListening(w, t, state)
}

// marksOfQuery reads marks such as 48000:buzzes.
func marksOfQuery(all []string) (marks []playthrough.Mark, ok bool) {
	for _, words := range all {
		at, ear, _ := strings.Cut(words, ":")
		n, err := strconv.Atoi(at)
		e := playthrough.Ear(ear)
		if err != nil || n < 0 || e != playthrough.Clear && e != playthrough.Buzzes {
			return nil, false
		}
		marks = append(marks, playthrough.Mark{At: n, Heard: e})
	}
	return marks, true
}

// tellListening answers with how far a play-through is.
func (s *Server) tellListening(w http.ResponseWriter, t *playthrough.Take, state playthrough.State) error {
	now, plates := s.renderer.listenNow(t, state)
	shown, err := s.part("listen", "now", now)
	if err != nil {
		return err
	}
	list, err := s.part("listen", "list", now)
	if err != nil {
		return err
	}
	s.json(w, http.StatusOK, map[string]any{"take": t.ID, "have": state.Have, "done": now.Done, "full": state.Hint == playthrough.Full,
		"now": shown, "list": list, "plates": plates, "heard": now.Heard, "hint": s.renderer.listenHint(state)})
	return nil
}

// listenHint is what to tell the player of the sound; "" for nothing.
func (l *renderer) listenHint(state playthrough.State) string {
	keys := map[playthrough.Hint]string{playthrough.Silent: "listen.hintsilent", playthrough.TooLoud: "listen.hintloud",
		playthrough.Strange: "listen.hintstrange", playthrough.Full: "listen.hintfull"}
	switch {
	case state.Hint != "":
		return l.words.Say(keys[state.Hint])
	case state.Stray > 0:
		return l.words.Say("listen.stray", state.Stray)
	}
	return ""
}

// Signs of a note in the picture.
const (
	signNext    = "next"
	signHeard   = "heard"
	signClear   = string(playthrough.Clear)
	signBuzzes  = string(playthrough.Buzzes)
	signLeftOut = "left"
	signToPlay  = "toplay"
)

// listenNow puts a state into words, and gives each note its sign in the picture.
func (l *renderer) listenNow(t *playthrough.Take, state playthrough.State) (n listenNow, plates map[string]string) {
	notes, model := t.Notes(), t.Request().Model
	n.Count = l.words.Say("listen.count", count(state.Heard), len(notes))
	if n.Done = state.Next >= len(notes); !n.Done {
		w := notes[state.Next]
		n.String, n.Fret, n.Open, n.Pitch = w.String, w.Fret, w.Fret == 0, model.Strings.Set[w.String-1].Pitch
	}
	if state.Last >= 0 {
		w := notes[state.Last]
		n.Heard = l.words.Say("listen.last", w.String, w.Fret)
		if e := state.Ears[state.Last]; e != "" {
			n.Ear = l.words.Say("note." + string(e))
		}
	}
	plates = map[string]string{}
	byString := map[int]*stringHeard{}
	var order []int
	for i, w := range notes {
		sign := signOfNote(state, i)
		plates[noteKey(w.String, w.Fret)] = sign
		if byString[w.String] == nil {
			byString[w.String] = &stringHeard{}
			order = append(order, w.String)
		}
		byString[w.String].add(w, sign)
	}
	for _, number := range order {
		n.Strings = append(n.Strings, listenString{l.words.Say("listen.one", number, model.Strings.Set[number-1].Pitch), byString[number].words(l)})
	}
	return n, plates
}

func count(all []bool) (n int) {
	for _, is := range all {
		if is {
			n++
		}
	}
	return n
}

func signOfNote(state playthrough.State, i int) string {
	switch {
	case state.Heard[i] && state.Ears[i] == playthrough.Clear:
		return signClear
	case state.Heard[i] && state.Ears[i] == playthrough.Buzzes:
		return signBuzzes
	case state.Heard[i]:
		return signHeard
	case i == state.Next:
		return signNext
	case i < state.Next:
		return signLeftOut
	}
	return signToPlay
}

// stringHeard counts what was heard of a string.
type stringHeard struct {
	heard, all        int
	leftOut, buzz, ok []int
}

func (h *stringHeard) add(w listen.Wanted, sign string) {
	h.all++
	switch sign {
	case signLeftOut:
		h.leftOut = append(h.leftOut, w.Fret)
		return
	case signNext, signToPlay:
		return
	case signBuzzes:
		h.buzz = append(h.buzz, w.Fret)
	case signClear:
		h.ok = append(h.ok, w.Fret)
	}
	h.heard++
}

func (h *stringHeard) words(l *renderer) string {
	words := l.words.Say("listen.count", h.heard, h.all)
	for _, p := range []struct {
		key   string
		frets []int
	}{{"listen.leftout", h.leftOut}, {"listen.buzzes", h.buzz}, {"listen.clear", h.ok}} {
		if len(p.frets) > 0 {
			words += fmt.Sprintf(". %s", l.words.Say(p.key, unit.Spans(p.frets)))
		}
	}
	return words
}
