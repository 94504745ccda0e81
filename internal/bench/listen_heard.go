package bench

import (
	"context"
	"errors"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"slices"
	"sync"
	"time"

	"ringtrue/internal/answer"
	"ringtrue/internal/bench/draft"
	"ringtrue/internal/bench/playthrough"
)

// Of recordings that are handed in, and of what was heard.
const (
	maxRecording = 128 << 20 // twelve minutes in stereo
	recordingFor = 5 * time.Minute
	mostHeard    = 12 // necks whose last answer is kept
	mostSounds   = 2  // of them, whose sound is
)

// heardNeck is what was heard of a neck last.
type heardNeck struct {
	neck    string
	answer  *answer.ListenAnswer
	learned string // the [strings] table; "": nothing could be told
	ears    []playthrough.Answer
	sound   []byte // where it was asked for
	name    string // of files
}

// heardLast keeps what was heard last of each neck, in memory.
type heardLast struct {
	mu   sync.Mutex
	list []*heardNeck // the newest last
}

func (h *heardLast) of(neck string) *heardNeck {
	h.mu.Lock()
	defer h.mu.Unlock()
	for _, k := range h.list {
		if k.neck == neck {
			return k
		}
	}
	return nil
}

func (h *heardLast) put(k *heardNeck) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.list = append(slices.DeleteFunc(h.list, func(o *heardNeck) bool { return o.neck == k.neck }), k)
	h.list = h.list[max(0, len(h.list)-mostHeard):]
	sounds := 0
	for _, o := range slices.Backward(h.list) {
		if o.sound != nil {
			if sounds++; sounds > mostSounds {
				o.sound = nil
			}
		}
	}
}

// endListening ends a play-through: what was heard is worked out, and the sound is gone
// unless it was asked for.
func (s *Server) endListening(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	t, err := s.take(r, k)
	if err != nil {
		return err
	}
	wav := t.WAV()
	of, err := s.heardOf(r.Context(), k, answer.ListenRequest{Request: t.Request(), WAV: wav})
	var file answer.ErrRecording
	if errors.As(err, &file) {
		s.takes.Drop(k.ID(), t.ID)
		return s.showListenAs(w, r, http.StatusUnprocessableEntity, k, []string{s.renderer.words.Say("listen.recording", file.Error())})
	}
	if err != nil {
		return err
	}
	of.ears = t.Answers(&of.answer.Report)
	if r.FormValue("keep") != "" {
		of.sound = wav
	}
	s.heardLast.put(of)
	s.takes.Drop(k.ID(), t.ID)
	return redirect(w, r, "/necks/%s/listen", k.ID())
}

// leaveListening drops a play-through whose page was left.
func (s *Server) leaveListening(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	s.takes.Drop(k.ID(), r.FormValue("take"))
	w.WriteHeader(http.StatusNoContent)
	return nil
}

// takeRecording takes a recording in that was made elsewhere.
func (s *Server) takeRecording(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	wav, err := s.recording(w, r)
	if err != nil {
		return err
	}
	if len(wav) == 0 {
		return s.showListenAs(w, r, http.StatusUnprocessableEntity, k, []string{s.renderer.words.Say("listen.nofile")})
	}
	q, _, err := s.listenAsked(r, k)
	if err != nil {
		return err
	}
	of, err := s.heardOf(r.Context(), k, answer.ListenRequest{Request: q, WAV: wav})
	var file answer.ErrRecording
	if errors.As(err, &file) {
		return s.showListenAs(w, r, http.StatusUnprocessableEntity, k, []string{s.renderer.words.Say("listen.recording", file.Error())})
	}
	if err != nil {
		return err
	}
	s.heardLast.put(of)
	return redirect(w, r, "/necks/%s/listen", k.ID())
}

// recording reads a form with a recording in the field "file": it may be large, and
// come slowly.
func (s *Server) recording(w http.ResponseWriter, r *http.Request) ([]byte, error) {
	c := http.NewResponseController(w)
	for _, set := range []func(time.Time) error{c.SetReadDeadline, c.SetWriteDeadline} {
		if err := set(time.Now().Add(recordingFor)); err != nil && !errors.Is(err, http.ErrNotSupported) {
			return nil, err
		}
	}
	r.Body = http.MaxBytesReader(w, r.Body, maxRecording+maxForm)
	if err := s.formError(r.ParseMultipartForm(maxRecording + maxForm)); err != nil {
		return nil, err
	}
	defer func() { _ = r.MultipartForm.RemoveAll() }() // held in memory: nothing to remove
	f, _, err := r.FormFile("file")
	if errors.Is(err, http.ErrMissingFile) {
		return nil, nil
	}
	if err != nil {
		return nil, s.formError(err)
	}
	return readAll(f)
}

func readAll(f multipart.File) ([]byte, error) {
	defer closeFile(f)
	return io.ReadAll(f)
}

// heardOf works out what a recording tells of a neck.
func (s *Server) heardOf(ctx context.Context, k *draft.Neck, q answer.ListenRequest) (*heardNeck, error) {
	key := fmt.Sprintf("listen %s %d", k.ID(), s.listened.Add(1)) // no two recordings are one question
	a, err := ask(ctx, s, key, func(ctx context.Context) (*answer.ListenAnswer, error) {
		a, err := answer.Listen(ctx, q, nil)
		if file := (answer.ErrRecording{}); err != nil && !errors.As(err, &file) {
			return nil, refuse(http.StatusUnprocessableEntity, plainList(err)...)
		}
		return a, err
	})
	if err != nil {
		return nil, err
	}
	of := &heardNeck{neck: k.ID(), answer: a}
	if table, err := a.Learned(q); err == nil {
		of.learned = table
	}
	k.Read(func(st *draft.State) { of.name = plainFile(st.Model.Name + "-" + st.Serial) })
	return of, nil
}

// giveHeard gives a file of what was heard last: what makes its bytes, none where it
// has none.
func (s *Server) giveHeard(kind, ending string, of func(*heardNeck) []byte) func(http.ResponseWriter, *http.Request, *draft.Neck) error {
	return func(w http.ResponseWriter, _ *http.Request, k *draft.Neck) error {
		last := s.heardLast.of(k.ID())
		if last == nil {
			return refuse(http.StatusNotFound, s.renderer.words.Say("listen.nothing"))
		}
		data := of(last)
		if len(data) == 0 {
			return refuse(http.StatusNotFound, s.renderer.words.Say("listen.nothing"))
		}
		return give(w, kind, last.name+ending, data)
	}
}

func heardStrings(h *heardNeck) []byte { return []byte(h.learned) }

func heardSound(h *heardNeck) []byte { return h.sound }

func heardAnswers(h *heardNeck) []byte {
	if len(h.ears) == 0 {
		return nil
	}
	return playthrough.CSV(h.ears)
}
