package bench

import (
	"context"
	"errors"
	"fmt"
	"math"
	"net/http"
	"strconv"

	"ringtrue/internal/answer"
	"ringtrue/internal/fileerr"
)

// playAsked is a request for a neck's notes.
type playAsked struct {
	work
	request answer.PlayRequest
	state   string
	raiseMM float64
}

// maxTries is how far the slider goes, in mm.
const maxTries = 1.0

// playAsked reads which state and which action are asked for.
func (s *Server) playAsked(r *http.Request) (*playAsked, error) {
	k, err := s.kept(r)
	if err != nil {
		return nil, err
	}
	p := &playAsked{work: workOf(k), state: r.FormValue("state")}
	if !p.read || p.state == "" {
		p.state = "perfect"
		if p.read {
			p.state = "read"
		}
	}
	p.request = answer.PlayRequest{Model: p.model, Layout: p.layout, Read: p.state != "perfect", Planned: p.state == "planned"}
	switch p.state {
	case "read", "planned", "perfect":
	default:
		return nil, refuse(http.StatusUnprocessableEntity, s.renderer.words.Say("play.nostate"))
	}
	if p.request.Read {
		p.request.Readings = p.readings
	}
	if text := r.FormValue("raise"); text != "" {
		v, err := strconv.ParseFloat(text, 64)
		if err != nil || !(math.Abs(v) <= maxTries) {
			return nil, refuse(http.StatusUnprocessableEntity, s.renderer.words.Say("play.noraise"))
		}
		p.raiseMM = math.Round(v*100) / 100
	}
	return p, nil
}

// playError is what the maker can mend of a neck that cannot be judged.
func (s *Server) playError(err error) error {
	var list fileerr.List
	switch {
	case err == nil:
		return nil
	case errors.As(err, &list):
		return list
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return err
	}
	return refuse(http.StatusUnprocessableEntity, err.Error())
}

// judgedAt is the neck judged whole, once, with every action raised.
func (s *Server) judgedAt(r *http.Request, p *playAsked, raiseMM float64) (*answer.PlayAnswer, error) {
	return ask(r.Context(), s, fmt.Sprintf("play %s %s %+.2f", p.work.state, p.state, raiseMM), func(ctx context.Context) (a *answer.PlayAnswer, err error) {
		q := p.request
		if raiseMM != 0 {
			q, err = q.Raised(raiseMM)
		}
		if err == nil {
			a, err = answer.Play(ctx, q)
		}
		return a, s.playError(err)
	})
}

// playFault reports whether an error is one that the page shows in its place.
func playFault(err error) bool { return fileerr.Is(err) || isRefusal(err) }
