package bench

import (
	"context"
	"net/http"
	"net/url"
	"strconv"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/draw"
	"ringtrue/internal/geometry"
	"ringtrue/internal/sheet"
)

// lettersOf are the papers that the letter to a neck's owner comes on.
func (s *Server) lettersOf(serial string) (all []choice) {
	for _, paper := range []string{"a4", "letter"} {
		q := url.Values{"serial": {serial}, "paper": {paper}}
		all = append(all, choice{Value: "/book/letter.pdf?" + q.Encode(), Words: s.renderer.words.Say("paper." + paper)})
	}
	return all
}

// letter is the letter to a neck's owner, and the neck for its picture.
type letter struct {
	*answer.BookCardAnswer
	layout *geometry.Layout
}

func (s *Server) giveLetter(w http.ResponseWriter, r *http.Request) error {
	paper, ok := map[string]sheet.Paper{"": sheet.A4, "a4": sheet.A4, "letter": sheet.Letter}[r.FormValue("paper")]
	if !ok {
		return refuse(http.StatusUnprocessableEntity, s.renderer.words.Say("plan.nopaper"))
	}
	q := answer.BookCardRequest{Serial: r.FormValue("serial")}
	l, err := askBook(s, r, "letter "+strconv.Quote(q.Serial), func(ctx context.Context, store book.Store) (letter, error) {
		a, layout, err := answer.BookCard(ctx, store, q)
		return letter{a, layout}, err
	})
	if err != nil {
		return err
	}
	page, err := sheet.OwnersLetter(l.BookCardAnswer, l.layout, paper, s.renderer.sheetUnits())
	if err != nil {
		return err
	}
	return givePDF(w, plainFile(l.Serial+"-letter")+".pdf", []*draw.Page{page})
}
