package bench

import (
	"context"
	"fmt"
	"net/http"
	"runtime/debug"
	"sync"

	"ringtrue/internal/answer"
	"ringtrue/internal/bench/draft"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

// maxAnswers is how many answers are kept in memory.
const maxAnswers = 48

// answers keeps what was worked out, by what it was worked out from: the same
// question again is answered at once.
type answers struct {
	mu    sync.Mutex
	kept  map[string]*oneAnswer
	order []string // oldest first
}

// oneAnswer is one answer, or one that is being made.
type oneAnswer struct {
	done  chan struct{}
	value any
	err   error
}

func newAnswers() *answers { return &answers{kept: map[string]*oneAnswer{}} }

// ask gives the answer to a question, making it where it is not there. The work
// goes on where the one who asked is gone: another asks the same soon.
func ask[T any](ctx context.Context, s *Server, key string, do func(context.Context) (T, error)) (T, error) {
	var none T
	a, mine := s.answers.find(key)
	if mine {
		go func() {
			defer close(a.done)
			select {
			case s.analyst.room <- struct{}{}:
				defer func() { <-s.analyst.room }()
			case <-s.stopped.Done():
				a.err = s.stopped.Err()
			}
			if a.err == nil {
				a.value, a.err = calm(func() (T, error) { return do(s.stopped) })
			}
			if a.err != nil {
				s.answers.forget(key, a)
			}
		}()
	}
	select {
	case <-a.done:
	case <-ctx.Done():
		return none, ctx.Err()
	}
	if a.err != nil {
		return none, a.err
	}
	return a.value.(T), nil
}

// calm makes an error of a panic: one neck's work must not end the bench.
func calm[T any](do func() (T, error)) (v T, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("%v\n%s", p, debug.Stack())
		}
	}()
	return do()
}

// find gives the place of an answer; mine: the caller has to make it.
func (a *answers) find(key string) (at *oneAnswer, mine bool) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if at, ok := a.kept[key]; ok {
		return at, false
	}
	at = &oneAnswer{done: make(chan struct{})}
	a.kept[key] = at
	a.order = append(a.order, key)
	if len(a.order) > maxAnswers {
		delete(a.kept, a.order[0])
		a.order = a.order[1:]
	}
	return at, true
}

func (a *answers) forget(key string, at *oneAnswer) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.kept[key] != at {
		return
	}
	delete(a.kept, key)
	for i, k := range a.order {
		if k == key {
			a.order = append(a.order[:i], a.order[i+1:]...)
			break
		}
	}
}

// work is a neck's latest stage that has readings, as it stands now.
type work struct {
	id, name, serial, word string
	stage                  int
	read                   bool // there are readings; else the stage is the first
	model                  neck.Model
	layout                 *geometry.Layout
	neckFile               []byte
	readings               []reading.Reading
	inch                   bool   // heights are shown in thousandths of an inch
	version                int    // of the last change of a reading
	filed                  bool   // boxes of the card for this stage are ticked
	state                  string // names neck and readings as they are
}

// workOf takes a neck's readings out: those of the stage in work, or where it has
// none yet, of the latest before it.
func workOf(k *draft.Neck) work {
	w := work{id: k.ID()}
	k.Read(func(st *draft.State) {
		w.name, w.serial, w.model, w.layout, w.neckFile = st.Model.Name, st.Serial, st.Model, st.Layout, st.Data
		for w.stage = st.Stage(); w.stage > 0 && st.Readings(w.stage) == 0; w.stage-- {
		}
		w.word = st.Stages[w.stage].Word
		w.readings, _ = st.Taken(w.stage)
		w.read, w.version, w.filed, w.state = len(w.readings) > 0, st.Read, st.AnyTicked(w.stage), fmt.Sprintf("%s %d", w.id, st.Read)
		for _, p := range st.Passes {
			if p.Stage == w.stage {
				w.inch = p.Unit == "in"
			}
		}
	})
	return w
}

// heights is the unit that goes with the neck's gauges, or the shop's.
func (l *renderer) heights(w work) heightUnit {
	if w.inch {
		return l.heightsIn(&draft.Pass{Unit: "in"})
	}
	return l.heightsIn(nil)
}

// frets is what the readings mean; seated are high frets that sit down already.
func (s *Server) frets(r *http.Request, w work, seated []int) (*answer.FretsAnswer, error) {
	return ask(r.Context(), s, fmt.Sprintf("frets %s %v", w.state, seated), func(ctx context.Context) (*answer.FretsAnswer, error) {
		return answer.Frets(ctx, answer.FretsRequest{Model: w.model, Layout: w.layout, Readings: w.readings, Seated: seated, Moves: true})
	})
}
