package bench

import (
	"cmp"
	"context"
	"errors"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/draw"
	"ringtrue/internal/drift"
	"ringtrue/internal/sheet"
)

// driftBody is a figure of every neck in order of time, or what all necks have in
// common.
type driftBody struct {
	driftAsked
	Figures []choice
	Screens *drawings
	Chart   *answer.DriftAnswer
	Signals []drift.Signal // of the chart, those that are told
	More    int            // and how many are not
	Rest    string         // the page that tells all
	Pattern *answer.PatternAnswer
	Mind    []string
	Few     *driftFew // too little for a chart
}

// driftAsked is what a request asks of the book's necks.
type driftAsked struct{ Of, Fret, Stage, By string }

func driftAskedOf(r *http.Request) driftAsked {
	text := func(key string) string { return cut(strings.TrimSpace(r.FormValue(key)), 64) }
	return driftAsked{cmp.Or(text("of"), "zone"), text("fret"), text("stage"), text("by")}
}

func (d driftAsked) query() string {
	return url.Values{"of": {d.Of}, "fret": {d.Fret}, "stage": {d.Stage}, "by": {d.By}}.Encode()
}

// drifting charts a figure.
func (s *Server) drifting(r *http.Request, d driftAsked) (*answer.DriftAnswer, error) {
	return askBook(s, r, "drift "+d.query(), func(ctx context.Context, store book.Store) (*answer.DriftAnswer, error) {
		var fret *int
		if d.Fret != "" && (d.Of == "height" || d.Of == "seat") {
			n, err := strconv.Atoi(d.Fret)
			if err != nil || n < 0 || n > 255 {
				return nil, refuse(http.StatusUnprocessableEntity, s.renderer.words.Say("drift.nofret"))
			}
			fret = &n
		}
		f, err := book.ParseFigure(d.Of, fret, nil)
		if err != nil {
			return nil, err
		}
		read, err := book.SeriesOf(ctx, store, book.Query{Figure: f, Filter: book.Filter{Stage: d.Stage}, By: d.By})
		if err != nil {
			return nil, err
		}
		return answer.Drift(ctx, answer.DriftRequest{Series: read, By: d.By})
	})
}

// pattern is what all necks have in common.
func (s *Server) pattern(r *http.Request, d driftAsked) (*answer.PatternAnswer, error) {
	return askBook(s, r, "pattern "+d.query(), func(ctx context.Context, store book.Store) (*answer.PatternAnswer, error) {
		return answer.Pattern(ctx, store, book.Filter{Stage: d.Stage}, d.By)
	})
}

func (s *Server) showDrift(w http.ResponseWriter, r *http.Request) error {
	d := driftAskedOf(r)
	b := driftBody{driftAsked: d}
	for _, f := range book.FigureNames() {
		if f != "tag:NAME" && f != "bend" {
			b.Figures = append(b.Figures, choice{Value: f, Words: s.renderer.words.Say("figure." + f), On: f == d.Of})
		}
	}
	status := http.StatusOK
	var err error
	if d.Of == "pattern" {
		if b.Pattern, err = s.pattern(r, d); err == nil {
			b.Stage, b.Mind = b.Pattern.Stage, b.Pattern.Warnings
			b.Screens, err = s.patternScreens(b.Pattern)
		}
	} else if b.Chart, err = s.drifting(r, d); err == nil {
		b.Stage, b.Mind = b.Chart.Stage, b.Chart.Warnings
		b.tell(b.Chart.Signals, r.FormValue("all") != "")
		b.Screens, err = s.driftScreens(d.Of, b.Chart)
	}
	if b.Screens != nil {
		b.Screens.Paper = "/book/drift.svg?" + d.query()
	}
	if err != nil {
		if status, err = s.noChart(&b, r, err); err != nil {
			return err
		}
	}
	return s.showAs(w, r, status, "drift", head{}, b)
}

// driftScreens draws a figure's charts, with their numbers.
func (s *Server) driftScreens(of string, a *answer.DriftAnswer) (*drawings, error) {
	first, more, err := sheet.DriftScreen(of, a, s.renderer.sheetUnits())
	if err != nil {
		return nil, err
	}
	out := &drawings{Charts: first, More: more}
	out.Heads, out.Numbers = s.renderer.driftNumbers(a)
	return out, nil
}

// patternScreens draws what all necks have in common.
func (s *Server) patternScreens(a *answer.PatternAnswer) (*drawings, error) {
	m := s.renderer.patternMap(a)
	out := &drawings{Map: &m}
	means, err := sheet.PatternScreen(a, s.renderer.sheetUnits())
	if err == nil {
		out.Charts = []*draw.Screen{means}
	} else if !errors.Is(err, sheet.ErrEmpty) {
		return nil, err
	}
	return out, nil
}

// tell lists a chart's signals, all or the first, with a link to the rest.
func (b *driftBody) tell(signals []drift.Signal, all bool) {
	b.Signals, b.Rest = signals, "/book/drift?"+b.query()+"&all=yes"
	if !all {
		b.Signals = signals[:min(maxAdvice, len(signals))]
	}
	b.More = len(signals) - len(b.Signals)
}

// noChart fills the page where there is no chart to show, and gives its status.
func (s *Server) noChart(b *driftBody, r *http.Request, why error) (status int, err error) {
	var known *refusal
	if !errors.As(why, &known) {
		return 0, why
	}
	b.Mind, status = known.lines, known.status
	if tooFew(why) {
		if b.Few, err = s.driftFew(r, b.Stage); err != nil {
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

func (s *Server) giveDrift(w http.ResponseWriter, r *http.Request) error {
	d := driftAskedOf(r)
	var page *draw.Page
	if d.Of == "pattern" {
		a, err := s.pattern(r, d)
		if err != nil {
			return err
		}
		if page, err = sheet.Pattern(a, s.renderer.sheetUnits()); err != nil {
			return err
		}
		return giveSVG(w, page)
	}
	a, err := s.drifting(r, d)
	if err != nil {
		return err
	}
	if page, err = sheet.Drift(d.Of, a, s.renderer.sheetUnits()); err != nil {
		return err
	}
	return giveSVG(w, page)
}
