package bench

import (
	"context"
	"errors"
	"net/http"
	"slices"
	"strings"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/bench/serialgauge"
)

// listen begins to read the gauge on the line, if there is one. What it returns
// waits for the end, after which nothing more is kept.
func (s *Server) listen(ctx context.Context) (wait func()) {
	if s.cfg.Gauge == nil {
		return func() {}
	}
	ctx, cancel := context.WithCancel(ctx)
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		s.cfg.Gauge.Run(ctx, func(e serialgauge.Event) { s.hear(ctx, e) })
	}()
	return func() {
		cancel()
		<-ended
	}
}

// hear takes what the gauge did.
func (s *Server) hear(ctx context.Context, e serialgauge.Event) {
	l, say := &s.line, s.renderer.words.Say
	switch e.Kind {
	case serialgauge.Ready:
		l.tell(func() { l.gone, l.state, l.last = false, say("line.ready", l.port), lineRead{} })
	case serialgauge.Gone:
		words := say("line.gone", s.why(e.Err))
		s.log.Print(words)
		l.tell(func() { l.gone, l.state, l.last = true, words, lineRead{} })
	case serialgauge.Unfit:
		words := say("line.unfit", e.Line)
		if e.Cut {
			words = say("line.cut", e.Line)
		}
		s.notSaved(words)
	case serialgauge.Read:
		_, err := calm(func() (struct{}, error) { return struct{}{}, s.keepRead(ctx, e) })
		if err != nil {
			s.notSaved(s.renderer.words.Say("line.fails", e.Line, strings.Join(refusedLines(s.inside(err)), " ")))
		}
	}
}

// why says in words what is wrong with the port.
func (s *Server) why(err error) string {
	say, port := s.renderer.words.Say, s.line.port
	switch {
	case errors.Is(err, serialgauge.ErrMissing):
		return say("line.missing", port)
	case errors.Is(err, serialgauge.ErrBusy):
		return say("line.busy", port)
	case errors.Is(err, serialgauge.ErrDenied):
		return say("line.denied", port)
	case errors.Is(err, serialgauge.ErrNoPort):
		return say("line.noport", port)
	}
	return say("line.fault", port, err)
}

func refusedLines(err error) []string {
	var known *refusal
	if errors.As(err, &known) {
		return known.lines
	}
	return nil
}

// notSaved tells of what came and was not kept: on the pages, and in the terminal,
// since there may be none.
func (s *Server) notSaved(words string) {
	s.log.Print(words)
	s.line.tell(func() {
		s.line.last = lineRead{}
		s.line.notSaved(words)
	})
}

// keepRead keeps a reading for the crown that the screen shows which reads, by
// the same way as one that is typed there.
func (s *Server) keepRead(ctx context.Context, e serialgauge.Event) error {
	say := s.renderer.words.Say
	r, ok := s.readsFor(ctx)
	if !ok {
		s.notSaved(say("line.nopage", e.Line))
		return nil
	}
	k, err := s.cfg.Folder.Get(r.neck)
	if errors.Is(err, draft.ErrNotFound) {
		s.notSaved(say("line.nopage", e.Line))
		return nil
	}
	if err != nil {
		return err
	}
	p := press{do: "keep", screen: r.screen}
	k.Read(func(st *draft.State) {
		p.seen = st.Version
		if p.p, p.at, ok = r.crown(st); ok {
			p.typed = e.Reading.In(p.p.Unit)
		}
	})
	if !ok {
		s.notSaved(say("line.nopass", e.Line))
		return nil
	}
	return s.keepAt(k, r, p, e.Line)
}

// keepAt does the press that a reading is.
func (s *Server) keepAt(k *draft.Neck, r standsAt, p press, came string) error {
	s.line.keeping.Lock()
	defer s.line.keeping.Unlock()
	asked := s.line.asks(r.neck, r.cursor)
	p.over = asked.over
	questions := s.asked(k)
	done, status, err := s.deed(k, p)
	if err != nil {
		return err
	}
	if status != http.StatusOK && done.over == "" {
		s.notSaved(s.renderer.words.Say("line.fails", came, done.said))
		return nil
	}
	read := lineRead{neck: r.neck, name: nameOf(k), at: r.cursor, said: done.said, alarm: s.alarmed(k, p, done, questions)}
	if done.over != "" {
		read.typed, read.over, read.before = p.typed, done.over, asked.before
		if asked.typed != "" && asked.typed != p.typed {
			read.before = append(slices.Clone(asked.before), asked.typed)
		}
		if len(read.before) > 0 {
			read.said += " " + s.renderer.words.Say("line.before", strings.Join(read.before, ", "))
		}
	}
	s.leads.move(r.neck, r.screen, p.p.Number, done.at)
	s.analyst.begun(k)
	s.line.tell(func() { s.line.last = read })
	return nil
}
