package bench

import (
	"context"
	"net/http"
	"strconv"

	"ringtrue/internal/answer"
	"ringtrue/internal/bench/draft"
	"ringtrue/internal/board"
	"ringtrue/internal/reading"
	"ringtrue/internal/unit"
)

// boardBody is a neck's readings taken as those of its bare board.
type boardBody struct {
	ID, Stage, Verdict, Kind string
	Read, Bare               bool
	Fretted                  string // why there are frets in it; empty: nobody knows
	Version                  int
	Mind                     []string
	Answer                   *answer.BoardAnswer
}

func (s *Server) showBoard(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	p := workOf(k)
	b := boardBody{ID: k.ID(), Stage: p.word, Read: p.read, Version: p.version}
	if b.Fretted = s.renderer.frettedBy(p); p.read && b.Fretted == "" {
		b.Bare = r.FormValue("bare") == strconv.Itoa(p.version) // an answer is of the readings that it was asked with
	}
	if b.Bare {
		a, err := ask(r.Context(), s, "board "+p.state, func(context.Context) (*answer.BoardAnswer, error) {
			return answer.Board(p.model, p.layout, p.readings)
		})
		if err != nil {
			return err
		}
		s.renderer.fillBoard(&b, a)
	}
	return s.show(w, r, "board", head{Neck: s.neckHead(k, "neck")}, b)
}

// frettedBy says what shows that the frets are in: nobody sands a board through its
// frets by what was read on their crowns. Empty: nothing does.
func (l *renderer) frettedBy(p work) string {
	for _, r := range p.readings {
		if r.Method == reading.Height {
			return l.words.Say("board.heights")
		}
		if r.State == reading.Strung {
			return l.words.Say("board.strung")
		}
	}
	if p.filed {
		return l.words.Say("board.filed")
	}
	return ""
}

func (l *renderer) fillBoard(b *boardBody, a *answer.BoardAnswer) {
	say := l.words.Say
	b.Answer, b.Verdict, b.Kind = a, say("ready."+kindOf(string(a.Verdict))), "in-doubt"
	switch a.Verdict {
	case board.Ready:
		b.Kind = "level"
	case board.NotReady:
		b.Kind = "not-level"
	}
	for _, x := range a.Recheck {
		if x.Lane == 0 {
			b.Mind = append(b.Mind, say("board.againarch", x.Fret, mm(x.ReadingMM), mm(x.ExpectedMM)))
			continue
		}
		b.Mind = append(b.Mind, say("board.againat", x.Fret, unit.Decimal(x.Lane), mm(x.ReadingMM), mm(x.ExpectedMM)))
	}
	for _, x := range a.Passes {
		b.Mind = append(b.Mind, say("advice.lane", unit.Decimal(x.Lane))+": "+x.Why)
	}
	if n := len(a.Undetermined); n > 0 {
		b.Mind = append(b.Mind, say("board.open", n))
	}
}
