package bench

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strings"

	"ringtrue/internal/book"
	"ringtrue/internal/drift"
)

// needBook is the book, or why there is none.
func (s *Server) needBook() (book.Store, error) {
	if s.cfg.Book == nil {
		return nil, refuse(http.StatusConflict, s.renderer.words.Say("book.none"))
	}
	return s.cfg.Book, nil
}

// bookSays tells what was asked wrongly of the book from what the book cannot.
func (s *Server) bookSays(err error) error {
	say := func(status int) error { return &refusal{status, strings.Split(err.Error(), "\n"), err} }
	switch {
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return err
	case errors.Is(err, book.ErrNotFound):
		return say(http.StatusNotFound)
	case errors.Is(err, book.ErrUnlike), errors.Is(err, book.ErrFigure), errors.Is(err, drift.ErrNoTag), errors.Is(err, drift.ErrTooFew),
		errors.Is(err, drift.ErrNotFinite), errors.Is(err, drift.ErrCount), errors.Is(err, drift.ErrNoScatter):
		return say(http.StatusUnprocessableEntity)
	}
	return s.bookError(err)
}

// askBook is ask for an answer from the whole book: good until it has a new
// record.
func askBook[T any](s *Server, r *http.Request, key string, do func(context.Context, book.Store) (T, error)) (T, error) {
	var none T
	store, err := s.needBook()
	if err != nil {
		return none, err
	}
	n, err := store.Last(r.Context())
	if err != nil {
		return none, s.bookError(err)
	}
	a, err := ask(r.Context(), s, fmt.Sprintf("%s %d", key, n), func(ctx context.Context) (T, error) { return do(ctx, store) })
	if err != nil {
		if isRefusal(err) {
			return none, err
		}
		return none, s.bookSays(err)
	}
	return a, nil
}

// bookError tells what the maker can mend from what the book cannot.
func (s *Server) bookError(err error) error {
	if book.IsCall(err) {
		return refuse(http.StatusUnprocessableEntity, strings.Split(err.Error(), "\n")...)
	}
	s.log.Printf("book: %v", err)
	return refuse(http.StatusServiceUnavailable, s.renderer.words.Say("book.fails"))
}
