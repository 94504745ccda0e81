package bench

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/drawn"
	"ringtrue/internal/drift"
)

// driftBody is a figure of every neck in order of time.
type driftBody struct {
	None     string
	Figures  []choice
	Fret     string
	Stage    string
	By       string
	Picture  string
	Steady   bool
	Words    string
	Found    []string
	Mind     []string
	Sentence []string
	Few      *driftFew // too little for a chart
}

// driftAsked is what a request asks of the book's necks.
type driftAsked struct {
	of, fret, stage, by string
}

func driftAskedOf(r *http.Request) driftAsked {
	text := func(key string) string { return cut(strings.TrimSpace(r.FormValue(key)), 64) }
	d := driftAsked{text("of"), text("fret"), text("stage"), text("by")}
	if d.of == "" {
		d.of = "zone"
	}
	return d
}

func (d driftAsked) query() string {
	return url.Values{"of": {d.of}, "fret": {d.fret}, "stage": {d.stage}, "by": {d.by}}.Encode()
}

// drifting charts a figure.
func (s *Server) drifting(r *http.Request, d driftAsked) (*answer.DriftAnswer, error) {
	return askBook(s, r, "drift "+d.query(), func(ctx context.Context, store book.Store) (*answer.DriftAnswer, error) {
		var fret *int
		if d.fret != "" && (d.of == "height" || d.of == "seat") {
			n, err := strconv.Atoi(d.fret)
			if err != nil || n < 0 || n > 255 {
				return nil, refuse(http.StatusUnprocessableEntity, s.renderer.words.Say("drift.nofret"))
			}
			fret = &n
		}
		f, err := answer.ParseFigure(d.of, fret, nil)
		if err != nil {
			return nil, err
		}
		read, err := answer.SeriesOf(ctx, store, answer.BookQuery{Figure: f, Filter: book.Filter{Stage: d.stage}, By: d.by})
		if err != nil {
			return nil, err
		}
		return answer.Drift(ctx, answer.DriftRequest{Series: read.Series, Parts: read.Parts, Stage: read.Stage, Notes: read.Notes, Design: drift.Design{Kind: read.Kind, Spread: read.Spread}, By: d.by})
	})
}

// pattern is what all necks have in common.
func (s *Server) pattern(r *http.Request, d driftAsked) (*answer.PatternAnswer, error) {
	return askBook(s, r, "pattern "+d.query(), func(ctx context.Context, store book.Store) (*answer.PatternAnswer, error) {
		return answer.Pattern(ctx, store, answer.PatternRequest{Filter: book.Filter{Stage: d.stage}, By: d.by})
	})
}

func (s *Server) showDrift(w http.ResponseWriter, r *http.Request) error {
	d := driftAskedOf(r)
	b := driftBody{Fret: d.fret, Stage: d.stage, By: d.by}
	for _, f := range answer.FigureNames() {
		if f != "tag:NAME" && f != "bend" {
			b.Figures = append(b.Figures, choice{Value: f, Words: s.renderer.words.Say("figure." + f), On: f == d.of})
		}
	}
	status := http.StatusOK
	var err error
	if d.of == "pattern" {
		err = s.fillPattern(&b, r, d)
	} else {
		err = s.fillDrift(&b, r, d)
	}
	if err != nil {
		if status, err = s.noChart(&b, r, d, err); err != nil {
			return err
		}
	}
	return s.showAs(w, r, status, "drift", head{}, b)
}

// noChart fills the page where there is no chart to show, and gives its status.
func (s *Server) noChart(b *driftBody, r *http.Request, d driftAsked, why error) (status int, err error) {
	var known *refusal
	if !errors.As(why, &known) {
		return 0, why
	}
	b.Mind, status = known.lines, known.status
	if tooFew(why) {
		if b.Few, err = s.driftFew(r, d); err != nil {
			return 0, err
		}
		if errors.Is(why, drift.ErrTooFew) || len(b.Few.Stages) == 0 {
			b.Mind = nil // what is needed says it
		}
	}
	if r.URL.RawQuery == "" && (b.Few != nil || status == http.StatusUnprocessableEntity) {
		status = http.StatusOK // the page's own question is not wrong where the book holds too little yet
	}
	return status, nil
}

func (s *Server) fillDrift(b *driftBody, r *http.Request, d driftAsked) error {
	a, err := s.drifting(r, d)
	if err != nil {
		return err
	}
	say := s.renderer.words.Say
	b.Stage, b.Steady, b.Picture, b.Mind = a.Stage, a.Steady, "/book/drift.svg?"+d.query(), a.Warnings
	b.Words = say("drift.steady", a.Values)
	if !a.Steady {
		b.Words = say("drift.notsteady", a.Values, a.Flagged(), len(a.Shifts))
	}
	number := func(v float64) string { return strings.TrimSpace(fmt.Sprintf("%.*f %s", a.Digits(), v+0, a.Unit)) }
	limits := say("drift.centre", number(a.Centre), number(a.Lower), number(a.Upper))
	if a.NoLower {
		limits = say("drift.nolower", number(a.Centre), number(a.Upper))
	}
	b.Sentence = append(b.Sentence, limits)
	for _, c := range a.Shifts {
		b.Found = append(b.Found, say("drift.step", c.Label, c.Date, number(c.Before), number(c.After)))
	}
	for i, x := range a.Signals.All() {
		if i == mostAdvice {
			b.Found = append(b.Found, say("play.more", a.Signals.Len()-i))
			break
		}
		b.Found = append(b.Found, say("drift.signal", x.Label, x.Date, number(x.Value), x.Rule))
	}
	if p := a.PartsDiffer; p != nil {
		key := "drift.alike"
		if p.P < 0.05 {
			key = "drift.differ"
		}
		b.Sentence = append(b.Sentence, say(key, d.by))
	}
	return nil
}

func (s *Server) fillPattern(b *driftBody, r *http.Request, d driftAsked) error {
	a, err := s.pattern(r, d)
	if err != nil {
		return err
	}
	b.Stage, b.Steady, b.Picture, b.Found, b.Mind = a.Stage, a.Steady, "/book/drift.svg?"+d.query(), a.Findings, a.Warnings
	b.Words = s.renderer.words.Say("drift.pattern", a.Necks, a.From, a.To)
	if len(a.Findings) == 0 {
		b.Sentence = []string{s.renderer.words.Say("drift.nopattern")}
	}
	return nil
}

func (s *Server) giveDrift(w http.ResponseWriter, r *http.Request) error {
	d := driftAskedOf(r)
	if d.of == "pattern" {
		a, err := s.pattern(r, d)
		if err != nil {
			return err
		}
		page, err := drawn.Pattern(a)
		if err != nil {
			return err
		}
		return giveSVG(w, page)
	}
	a, err := s.drifting(r, d)
	if err != nil {
		return err
	}
	page, err := drawn.Drift(d.of, a)
	if err != nil {
		return err
	}
	return giveSVG(w, page)
}
