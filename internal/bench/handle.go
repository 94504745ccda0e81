package bench

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"runtime/debug"
	"strings"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/fileerr"
	"ringtrue/internal/name"
)

// Most bytes that a request may bring.
const (
	maxForm = 16 << 10
	maxWide = 128 << 10 // a form with a field for every crown, or every key of a neck file
	maxFile = 4 << 20   // a readings file with some 60,000 rows
)

// refusal is an error that the maker sees and can act on.
type refusal struct {
	status int
	lines  []string
	cause  error // what it was made of, where that matters
}

func (r *refusal) Error() string { return strings.Join(r.lines, "\n") }

func (r *refusal) Unwrap() error { return r.cause }

// refuse makes an error that the maker sees.
func refuse(status int, lines ...string) error { return &refusal{status: status, lines: lines} }

// page makes a handler of a function that may fail.
func (s *Server) page(do func(http.ResponseWriter, *http.Request) error) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			if v := recover(); v != nil {
				if v == http.ErrAbortHandler {
					panic(v)
				}
				s.log.Printf("%s %s: %v\n%s", r.Method, r.URL.Path, v, debug.Stack())
				s.fail(w, r, refuse(http.StatusInternalServerError, s.renderer.words.Say("refused.inside")))
			}
		}()
		if err := do(w, r); err != nil {
			s.fail(w, r, s.seen(r, err))
		}
	}
}

// ofNeck is page for the neck in work that the path names.
func (s *Server) ofNeck(do func(http.ResponseWriter, *http.Request, *draft.Neck) error) http.HandlerFunc {
	return s.page(func(w http.ResponseWriter, r *http.Request) error {
		k, err := s.kept(r)
		if err != nil {
			return err
		}
		return do(w, r, k)
	})
}

// onNeck is ofNeck where a small form was sent.
func (s *Server) onNeck(do func(http.ResponseWriter, *http.Request, *draft.Neck) error) http.HandlerFunc {
	return s.ofNeck(func(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
		if err := s.form(w, r); err != nil {
			return err
		}
		return do(w, r, k)
	})
}

// seen is what the maker sees of an error: faults of files and of readings as
// they are, anything of the inside as one plain line.
func (s *Server) seen(r *http.Request, err error) error {
	var known *refusal
	var asked *draft.Refused
	var tooLarge *http.MaxBytesError
	switch {
	case errors.As(err, &known):
		return known
	case errors.As(err, &asked):
		return refuse(http.StatusUnprocessableEntity, asked.Words)
	case errors.As(err, &tooLarge):
		return refuse(http.StatusRequestEntityTooLarge, s.renderer.words.Say("refused.large"))
	case errors.Is(err, draft.ErrNotFound):
		return refuse(http.StatusNotFound, s.renderer.words.Say("refused.neck"))
	case errors.Is(err, draft.ErrConflict):
		return refuse(http.StatusConflict, s.renderer.words.Say("refused.conflict"))
	case fileerr.Is(err):
		return refuse(http.StatusUnprocessableEntity, strings.Split(err.Error(), "\n")...)
	}
	s.log.Printf("%s %s: %v", r.Method, r.URL.Path, err)
	return refuse(http.StatusInternalServerError, s.renderer.words.Say("refused.inside"))
}

// fail answers with a refusal, as a page or as JSON.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, err error) {
	var known *refusal
	if !errors.As(err, &known) {
		known = &refusal{status: http.StatusInternalServerError, lines: []string{s.renderer.words.Say("refused.inside")}}
	}
	if wantsJSON(r) {
		for i, line := range known.lines {
			known.lines[i] = s.renderer.said(line)
		}
		s.json(w, known.status, map[string]any{"wrong": known.lines})
		return
	}
	h := head{Wrong: known.lines}
	if id := r.PathValue("id"); id != "" && known.status != http.StatusNotFound {
		if k, err := s.cfg.Folder.Get(id); err == nil {
			h.Neck = s.neckHead(k, "")
		}
	}
	if err := s.showAs(w, r, known.status, "wrong", h, nil); err != nil {
		http.Error(w, strings.Join(known.lines, "\n"), known.status)
	}
}

// json answers with JSON.
func (s *Server) json(w http.ResponseWriter, status int, answer any) {
	status, data := encoded(status, answer)
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_, _ = w.Write(data)
}

// packFrom is how long an answer must be for packing to be worth its time, in bytes.
const packFrom = 2000

// jsonPacked is json, packed where the browser takes that: a reading that moves
// every crown changes much of the picture, in words much like each other.
func (s *Server) jsonPacked(w http.ResponseWriter, r *http.Request, status int, answer any) {
	status, data := encoded(status, answer)
	h := w.Header()
	h.Set("Content-Type", "application/json")
	h.Add("Vary", "Accept-Encoding")
	if len(data) < packFrom || !strings.Contains(r.Header.Get("Accept-Encoding"), "gzip") {
		w.WriteHeader(status)
		_, _ = w.Write(data)
		return
	}
	h.Set("Content-Encoding", "gzip")
	w.WriteHeader(status)
	to, _ := gzip.NewWriterLevel(w, gzip.BestSpeed) // the level is one that there is
	_, _ = to.Write(data)
	_ = to.Close()
}

// encoded is an answer in JSON. Angle brackets are left as they are, since it is
// read by a script and never shown as a page: escaped it is twice as long.
func encoded(status int, answer any) (int, []byte) {
	var data bytes.Buffer
	to := json.NewEncoder(&data)
	to.SetEscapeHTML(false)
	if err := to.Encode(answer); err != nil {
		return http.StatusInternalServerError, []byte("{}")
	}
	return status, data.Bytes()
}

// kept finds the neck in work that a request's path names.
func (s *Server) kept(r *http.Request) (*draft.Neck, error) {
	return s.cfg.Folder.Get(r.PathValue("id"))
}

// form reads a small form.
func (s *Server) form(w http.ResponseWriter, r *http.Request) error {
	return s.formUpTo(w, r, maxForm)
}

// formUpTo reads a form of so many bytes at most.
func (s *Server) formUpTo(w http.ResponseWriter, r *http.Request, most int64) error {
	r.Body = http.MaxBytesReader(w, r.Body, most)
	var err error
	if strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/form-data") {
		err = r.ParseMultipartForm(most)
	} else {
		err = r.ParseForm()
	}
	return s.formError(err)
}

// filed is a file that a form brought.
type filed struct {
	name string
	data []byte
}

// file reads a form with one file in the field "file"; without one its name is
// empty. The file's own name is only shown, and written in front of its faults.
func (s *Server) file(w http.ResponseWriter, r *http.Request) (filed, error) {
	r.Body = http.MaxBytesReader(w, r.Body, maxFile+maxForm)
	if err := s.formError(r.ParseMultipartForm(maxFile + maxForm)); err != nil {
		return filed{}, err
	}
	defer func() { _ = r.MultipartForm.RemoveAll() }() // held in memory: nothing to remove
	f, h, err := r.FormFile("file")
	if errors.Is(err, http.ErrMissingFile) || err == nil && h.Filename == "" {
		return filed{}, nil
	}
	if err != nil {
		return filed{}, s.formError(err)
	}
	defer closeFile(f)
	data, err := io.ReadAll(f)
	if err != nil {
		return filed{}, s.formError(err)
	}
	return filed{bareName(h.Filename), data}, nil
}

func closeFile(f multipart.File) { _ = f.Close() }

// formError tells a form that is too large from one that is none.
func (s *Server) formError(err error) error {
	var tooLarge *http.MaxBytesError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &tooLarge), errors.Is(err, multipart.ErrMessageTooLarge):
		return refuse(http.StatusRequestEntityTooLarge, s.renderer.words.Say("refused.large"))
	}
	return refuse(http.StatusBadRequest, s.renderer.words.Say("refused.form"))
}

// bareName is a file's name without folders and odd letters.
func bareName(given string) string {
	given = given[strings.LastIndexAny(given, `/\`)+1:]
	given = strings.Map(func(r rune) rune {
		if name.Hidden(r) {
			return -1
		}
		return r
	}, given)
	given = strings.TrimLeft(given, "=+-@. ")
	if r := []rune(given); len(r) > 60 {
		given = string(r[:60])
	}
	if given == "" {
		return "file"
	}
	return given
}

// notThere answers for paths that are not.
func (s *Server) notThere(http.ResponseWriter, *http.Request) error {
	return refuse(http.StatusNotFound, s.renderer.words.Say("refused.page"))
}

// redirect sends the screen on after a change.
func redirect(w http.ResponseWriter, r *http.Request, format string, args ...any) error {
	http.Redirect(w, r, fmt.Sprintf(format, args...), http.StatusSeeOther)
	return nil
}

// plainList is a fault a line.
func plainList(err error) []string {
	var list fileerr.List
	if !errors.As(err, &list) {
		return []string{err.Error()}
	}
	var lines []string
	for _, f := range list {
		line := f.Msg
		if f.Key != "" {
			line = f.Key + ": " + line
		}
		lines = append(lines, line)
	}
	return lines
}
