package bench

import (
	"bytes"
	"context"
	"fmt"
	"net/http"
	"strconv"
	"time"

	"ringtrue/internal/answer"
	"ringtrue/internal/play"
)

// fillHear offers a note to be heard: the one asked for, else the worst.
func (s *Server) fillHear(b *playBody, p *playAsked, r *http.Request) {
	b.Frets = p.layout.LastFret()
	b.String, b.Fret = within(r.FormValue("string"), 1, p.layout.Strings()), within(r.FormValue("fret"), 0, b.Frets)
	if r.FormValue("string") == "" && len(b.Worst) > 0 {
		b.String, b.Fret = b.Worst[0].String, b.Worst[0].Fret
	}
	b.Stop = stopWords(s.renderer, b.Fret)
	for n := 1; n <= p.layout.Strings(); n++ {
		b.Strings = append(b.Strings, choice{Value: strconv.Itoa(n), Words: s.renderer.words.Say("play.string", n, p.model.Strings.Set[n-1].Pitch), On: n == b.String})
	}
	for _, state := range []string{"read", "planned", "perfect"} {
		if p.read || state == "perfect" {
			b.Hear = append(b.Hear, choice{Words: s.renderer.words.Say("crowns." + state),
				Value: fmt.Sprintf("/necks/%s/note.wav?state=%s&raise=%s&string=%d&fret=%d", p.id, state, b.Raise, b.String, b.Fret)})
		}
	}
}

// within is a number from a query, kept within bounds.
func within(text string, least, most int) int {
	n, err := strconv.Atoi(text)
	if err != nil {
		return least
	}
	return min(max(n, least), most)
}

// giveNote gives the sound of one note.
func (s *Server) giveNote(w http.ResponseWriter, r *http.Request) error {
	p, err := s.playAsked(r)
	if err != nil {
		return err
	}
	number, errString := strconv.Atoi(r.FormValue("string"))
	fret, errFret := strconv.Atoi(r.FormValue("fret"))
	if errString != nil || errFret != nil {
		return refuse(http.StatusUnprocessableEntity, s.renderer.words.Say("play.nonote"))
	}
	key := fmt.Sprintf("note %s %s %+.2f %d %d", p.work.state, p.state, p.raiseMM, number, fret)
	data, err := ask(r.Context(), s, key, func(ctx context.Context) ([]byte, error) {
		q, err := p.request.Raised(p.raiseMM)
		if err != nil {
			return nil, s.playError(err)
		}
		_, data, err := answer.Sound(ctx, answer.SoundRequest{PlayRequest: q, Note: play.NoteChoice{String: number, Fret: fret}})
		return data, s.playError(err)
	})
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "audio/wav")
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(data))
	return nil
}
