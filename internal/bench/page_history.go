package bench

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/draw"
	"ringtrue/internal/geometry"
	"ringtrue/internal/sheet"
	"ringtrue/internal/wear"
)

// historyBody is what the book holds of one neck.
type historyBody struct {
	*answer.BookShowAnswer // its records the latest first
	Stages                 []string
	From, To               string
	Compared               *answer.BookCompareAnswer
	Counts                 []string     // of the crowns compared, by verdict
	Zones                  *draw.Screen // of its records, where there are several
	Screens                *drawings
	Mind                   []string // why there is no comparison
	Letters                []choice // papers of the letter to the owner
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
	b := historyBody{BookShowAnswer: a, From: r.FormValue("from"), To: r.FormValue("to")}
	for _, x := range a.Records {
		if !slices.Contains(b.Stages, x.Stage) {
			b.Stages = append(b.Stages, x.Stage)
		}
	}
	if len(a.Records) > 1 {
		if b.Zones, err = sheet.HistoryScreen(a, s.renderer.sheetUnits()); err != nil && !errors.Is(err, sheet.ErrEmpty) {
			return err
		}
	}
	b.Letters = s.lettersOf(a.Serial)
	slices.Reverse(a.Records)
	if b.From != "" || b.To != "" {
		c, err := s.compared(r)
		if err != nil {
			if !isRefusal(err) {
				return err
			}
			b.Mind = strings.Split(err.Error(), "\n")
		} else {
			b.Compared, b.Counts = c.BookCompareAnswer, countsOf(c.BookCompareAnswer)
			m := s.renderer.compareMap(c.BookCompareAnswer)
			b.Screens = &drawings{Map: &m, Paper: "/book/compare.svg?" + url.Values{"serial": {b.Serial}, "from": {b.From}, "to": {b.To}}.Encode()}
		}
	} else if n := len(b.Stages); n > 1 {
		b.From, b.To = b.Stages[n-2], b.Stages[n-1]
	}
	return s.show(w, r, "history", head{}, b)
}

// comparison is what changed between two stages, and the neck for a picture of it.
type comparison struct {
	*answer.BookCompareAnswer
	layout *geometry.Layout
}

// compared compares the two stages that a request names.
func (s *Server) compared(r *http.Request) (comparison, error) {
	q := answer.BookCompareRequest{Serial: r.FormValue("serial"), From: r.FormValue("from"), To: r.FormValue("to")}
	return askBook(s, r, fmt.Sprintf("compare %q %q %q", q.Serial, q.From, q.To), func(ctx context.Context, store book.Store) (comparison, error) {
		a, l, err := answer.BookCompare(ctx, store, q)
		return comparison{a, l}, err
	})
}

// countsOf is how many crowns have each verdict, the gravest first.
func countsOf(a *answer.BookCompareAnswer) (words []string) {
	counts := map[wear.Verdict]int{}
	for _, c := range a.Crowns {
		counts[c.Verdict]++
	}
	for _, v := range []wear.Verdict{wear.Worn, wear.Moved, wear.Raised, wear.Unchanged, wear.InDoubt} {
		if counts[v] > 0 {
			words = append(words, fmt.Sprintf("%d %s", counts[v], v))
		}
	}
	return words
}

func (s *Server) giveComparison(w http.ResponseWriter, r *http.Request) error {
	c, err := s.compared(r)
	if err != nil {
		return err
	}
	page, err := sheet.Compare(c.BookCompareAnswer, c.layout, sheet.A4, s.renderer.sheetUnits())
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
