package bench

import (
	"net/http"
	"slices"
	"strconv"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/bench/playthrough"
	"ringtrue/internal/listen"
	"ringtrue/internal/text"
)

// listenBody is the page that listens: what can be played, how far it is, and what was
// heard last.
type listenBody struct {
	ID      string
	Wrong   []string
	Frets   int
	Strings []choice
	Touches []choice
	Picture listenPicture
	Now     listenNow // before anything is played
	Result  *listenResult
}

// listenResult is what was heard, in words.
type listenResult struct {
	Head, Kind, Basis   string
	Warnings, Says      []string
	Missing, NoMoves    string
	Heads               []string // strings, the bass left
	Moves               listenTable
	Cents               listenTable
	NoteHeads           []string
	Notes               [][]string
	Rests               []string
	Learned, Sound      bool
	Ears, Clear, Buzzes int
	Fits                bool
}

// listenTable is a table with a column a string.
type listenTable struct {
	Heading, Key string
	Rows         [][]string
}

// microphoneAllowed is the policy of the one page that may ask for the microphone.
const microphoneAllowed = "camera=(), microphone=(self), geolocation=()"

func (s *Server) showListen(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	return s.showListenAs(w, r, http.StatusOK, k, nil)
}

// showListenAs shows the page with what is wrong with a recording.
func (s *Server) showListenAs(w http.ResponseWriter, r *http.Request, status int, k *draft.Neck, wrong []string) error {
	w.Header().Set("Permissions-Policy", microphoneAllowed)
	b := listenBody{ID: k.ID(), Wrong: wrong}
	k.Read(func(st *draft.State) {
		b.Frets = st.Layout.LastFret()
		b.Strings, b.Touches = s.renderer.listenStrings(st), touchChoices(st)
		b.Picture = s.renderer.drawNotes(st)
	})
	if of := s.heardLast.of(k.ID()); of != nil && len(wrong) == 0 {
		b.Result = s.renderer.listenResult(of)
	}
	return s.showAs(w, r, status, "listen", head{Neck: s.neckHead(k, "listen")}, b)
}

// Ways through all strings.
const (
	bassFirstOrder   = ""
	trebleFirstOrder = "up"
)

// listenStrings are what can be played: all strings, either way round, or one.
func (l *renderer) listenStrings(st *draft.State) []choice {
	n := st.Layout.Strings()
	all := []choice{{Value: bassFirstOrder, Words: l.words.Say("listen.down", n, 1)}, {Value: trebleFirstOrder, Words: l.words.Say("listen.up", 1, n)}}
	for i := n; i >= 1; i-- {
		all = append(all, choice{Value: strconv.Itoa(i), Words: l.words.Say("listen.one", i, st.Model.Strings.Set[i-1].Pitch)})
	}
	return all
}

func touchChoices(st *draft.State) (all []choice) {
	for _, t := range st.Model.Setup.Touch {
		all = append(all, choice{Value: t.Name, Words: t.Name, On: t.Name == st.Model.Setup.JudgeBy})
	}
	return all
}

// listenAsked is what a form says is played.
func (s *Server) listenAsked(r *http.Request, k *draft.Neck) (q listen.Request, touch string, err error) {
	wrong := refuse(http.StatusUnprocessableEntity, s.renderer.words.Say("listen.nofrets"))
	k.Read(func(st *draft.State) {
		q.Model, q.Layout = st.Model, st.Layout
		touch = st.Model.Setup.JudgeBy
		if asked := r.FormValue("touch"); slices.ContainsFunc(touchChoices(st), func(c choice) bool { return c.Value == asked }) {
			touch = asked
		}
	})
	q.To = q.Layout.LastFret()
	for name, to := range map[string]*int{"from": &q.From, "to": &q.To} {
		if words := r.FormValue(name); words != "" {
			if *to, err = strconv.Atoi(words); err != nil || *to < 0 {
				return q, touch, wrong
			}
		}
	}
	switch words := r.FormValue("string"); words {
	case bassFirstOrder:
	case trebleFirstOrder:
		for i := range q.Layout.Strings() {
			q.Strings = append(q.Strings, i+1)
		}
	default:
		n, err := strconv.Atoi(words)
		if err != nil {
			return q, touch, wrong
		}
		q.Strings = []int{n}
	}
	if _, err := q.Wanted(); err != nil {
		return q, touch, refuse(http.StatusUnprocessableEntity, err.Error())
	}
	return q, touch, nil
}

// listenResult puts what was heard into words, as the command's listing does.
func (l *renderer) listenResult(of *heardNeck) *listenResult {
	a := of.answer
	r := &a.Report
	out := &listenResult{Head: inSentence(text.ListenHead(r)), Kind: "not-level", Fits: a.Fits, Learned: of.learned != "", Sound: of.sound != nil}
	for _, e := range of.ears {
		if out.Ears++; e.Heard == playthrough.Clear {
			out.Clear++
		} else {
			out.Buzzes++
		}
	}
	for _, words := range a.Warnings {
		out.Warnings = append(out.Warnings, text.ListenOnPage(words))
	}
	if !a.Fits {
		return out
	}
	if out.Kind = "in-doubt"; a.Heard == a.Expected {
		out.Kind = "level"
	}
	out.Basis, out.Missing, out.Heads = text.ListenBasis(r), text.ListenMissing(r), text.ListenStrings(r)
	for _, words := range a.Says {
		out.Says = append(out.Says, text.ListenOnPage(words))
	}
	if text.ListenTells(r) {
		out.Moves = l.listenMoves(text.ListenMoveRows(r, true))
	} else {
		out.NoMoves = text.ListenNoMoves
	}
	out.Cents = listenTable{Heading: text.ListenCents, Rows: text.ListenHeardRows(r)}
	out.NoteHeads, out.Rests = text.ListenNoteColumns(), text.ListenRests(r)
	for _, n := range r.Notes {
		out.Notes = append(out.Notes, text.ListenNoteRow(n))
	}
	return out
}

// listenMoves is the table of moves, in the shop's unit.
func (l *renderer) listenMoves(rows [][]string) listenTable {
	t := listenTable{Heading: text.ListenMoves, Key: text.ListenMovesKey, Rows: rows}
	if !l.inches {
		return t
	}
	var cells []string
	for _, row := range rows {
		cells = append(cells, row[1:]...)
	}
	heading, cells, ok := text.InchColumn(t.Heading, cells)
	if !ok {
		return t
	}
	t.Heading = heading
	for _, row := range rows {
		cells = cells[copy(row[1:], cells):]
	}
	return t
}
