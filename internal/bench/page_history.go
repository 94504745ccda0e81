package bench

import (
	"bytes"
	"context"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/draw"
	"ringtrue/internal/geometry"
	"ringtrue/internal/sheet"
	"ringtrue/internal/text"
	"ringtrue/internal/wear"
)

// bookBody lists the book's necks.
type bookBody struct {
	None, NoBook string
	Part         string
	Necks        []bookNeck
	More         string
}

type bookNeck struct{ Href, Serial, Model, Stages, Latest string }

// mostNecks is how many necks of the book a page lists.
const mostNecks = 50

func (s *Server) showBook(w http.ResponseWriter, r *http.Request) error {
	b := bookBody{Part: cut(strings.TrimSpace(r.FormValue("part")), 64)}
	if s.cfg.Book == nil {
		b.None, b.NoBook = s.renderer.words.Say("book.none"), s.cfg.NoBook
		return s.show(w, r, "book", head{}, b)
	}
	a, err := answer.BookList(r.Context(), s.cfg.Book, answer.BookListRequest{
		Filter: book.Filter{Part: b.Part}, Page: book.Page{After: cut(r.FormValue("after"), 64), Most: mostNecks}})
	if err != nil {
		return s.bookError(err)
	}
	for _, n := range a.Necks {
		b.Necks = append(b.Necks, bookNeck{"/book/neck?" + url.Values{"serial": {n.Serial}}.Encode(), n.Serial, n.Model,
			strings.Join(n.Stages, ", "), n.Latest.Format(time.DateOnly)})
	}
	if a.After != "" {
		b.More = "/book?" + url.Values{"part": {b.Part}, "after": {a.After}}.Encode()
	}
	return s.show(w, r, "book", head{}, b)
}

// historyBody is what the book holds of one neck.
type historyBody struct {
	Serial, Model string
	Records       []answer.BookRecord // the latest first
	Stages        []string
	From, To      string
	Compared      *comparedView
	Mind          []string // why there is no comparison
}

// comparedView is what changed between two stages.
type comparedView struct {
	Title, Verdict, Kind, Bow, Least, Picture string
	Frets                                     []answer.FretChange
	Mind                                      []string
	Counts                                    []choice
}

func (s *Server) showHistory(w http.ResponseWriter, r *http.Request) error {
	store, err := s.needBook()
	if err != nil {
		return err
	}
	a, err := answer.BookShow(r.Context(), store, r.FormValue("serial"))
	if err != nil {
		return s.bookSays(err)
	}
	b := historyBody{Serial: a.Serial, Model: a.Model, From: r.FormValue("from"), To: r.FormValue("to")}
	for _, x := range a.Records {
		if !slices.Contains(b.Stages, x.Stage) {
			b.Stages = append(b.Stages, x.Stage)
		}
	}
	b.Records = slices.Clone(a.Records)
	slices.Reverse(b.Records)
	if b.From != "" || b.To != "" {
		c, _, err := s.compared(r)
		if err != nil {
			if !isRefusal(err) {
				return err
			}
			b.Mind = strings.Split(err.Error(), "\n")
		} else {
			b.Compared = s.renderer.comparedView(c, r)
		}
	} else if n := len(b.Stages); n > 1 {
		b.From, b.To = b.Stages[n-2], b.Stages[n-1]
	}
	return s.show(w, r, "history", head{}, b)
}

// compared is what changed between the two stages that a request names.
func (s *Server) compared(r *http.Request) (*answer.BookCompareAnswer, *geometry.Layout, error) {
	store, err := s.needBook()
	if err != nil {
		return nil, nil, err
	}
	type both struct {
		a *answer.BookCompareAnswer
		l *geometry.Layout
	}
	q := answer.BookCompareRequest{Serial: r.FormValue("serial"), From: r.FormValue("from"), To: r.FormValue("to")}
	n, err := store.Last(r.Context())
	if err != nil {
		return nil, nil, s.bookError(err)
	}
	out, err := ask(r.Context(), s, fmt.Sprintf("compare %d %q %q %q", n, q.Serial, q.From, q.To), func(ctx context.Context) (both, error) {
		a, l, err := answer.BookCompare(ctx, store, q)
		return both{a, l}, err
	})
	if err != nil {
		return nil, nil, s.bookSays(err)
	}
	return out.a, out.l, nil
}

func (l *renderer) comparedView(a *answer.BookCompareAnswer, r *http.Request) *comparedView {
	say := l.words.Say
	v := &comparedView{Title: say("history.between", a.From.Stage, a.From.Date.Format(time.DateOnly), a.To.Stage, a.To.Date.Format(time.DateOnly)),
		Verdict: a.Verdict, Kind: kindOf(a.Verdict), Mind: a.Warnings, Frets: a.Frets,
		Picture: "/book/compare.svg?" + url.Values{"serial": {r.FormValue("serial")}, "from": {r.FormValue("from")}, "to": {r.FormValue("to")}}.Encode()}
	if a.Bow != nil {
		v.Bow = say("history.bow", fmt.Sprintf("%+.3f", a.Bow.MM), fmt.Sprintf("%.3f", a.Bow.UMM))
	}
	if y := a.LeastCrown; y != nil {
		v.Least = say("history.least", mm2(y.LeastMM), text.Reached(y.SoonestYear, y.LatestYear, y.BelowAlready))
	}
	if a.Summary != "" {
		v.Mind = append([]string{a.Summary}, v.Mind...)
	}
	counts := map[string]int{}
	for _, c := range a.Crowns {
		counts[c.Verdict]++
	}
	for _, k := range []wear.Verdict{wear.Worn, wear.Moved, wear.Raised, wear.Unchanged, wear.InDoubt} {
		if n := counts[string(k)]; n > 0 {
			v.Counts = append(v.Counts, choice{Value: strconv.Itoa(n), Words: string(k)})
		}
	}
	return v
}

func (s *Server) giveComparison(w http.ResponseWriter, r *http.Request) error {
	a, l, err := s.compared(r)
	if err != nil {
		return err
	}
	page, err := sheet.Compare(a, l, sheet.A4, sheet.Micrometres)
	if err != nil {
		return err
	}
	return giveSVG(w, page)
}

// giveSVG answers with a picture. Its own style element is all that it may use.
func giveSVG(w http.ResponseWriter, p *draw.Page) error {
	var b bytes.Buffer
	if err := p.WriteSVG(&b); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "image/svg+xml")
	w.Header().Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; sandbox")
	_, _ = w.Write(b.Bytes())
	return nil
}
