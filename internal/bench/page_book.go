package bench

import (
	"net/http"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/bench/draft"
	"ringtrue/internal/book"
	"ringtrue/internal/hand"
	"ringtrue/internal/text"
	"ringtrue/internal/unit"
)

// neckOfBook is the neck file of a serial's latest record.
func (s *Server) neckOfBook(r *http.Request, serial string) (filed, error) {
	store, err := s.needBook()
	if err != nil {
		return filed{}, err
	}
	records, err := store.Records(r.Context(), serial)
	if err != nil {
		return filed{}, s.bookError(err)
	}
	if len(records) == 0 {
		return filed{}, refuse(http.StatusNotFound, s.renderer.words.Say("book.noserial"))
	}
	files, err := store.Files(r.Context(), records[len(records)-1].Number)
	if err != nil {
		return filed{}, s.bookError(err)
	}
	return filed{bareName(files.Neck.Name), files.Neck.Bytes}, nil
}

// putInBook makes a record of the stage in work.
func (s *Server) putInBook(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	store, err := s.needBook()
	if err != nil {
		return err
	}
	if ofExample(k) {
		return refuse(http.StatusConflict, s.renderer.words.Say("files.example"))
	}
	e := &book.Entry{Note: strings.TrimSpace(r.PostForm.Get("note")), By: strings.TrimSpace(r.PostForm.Get("by")), Tags: book.Tags{}}
	var stage int
	k.Read(func(st *draft.State) {
		stage = st.Stage()
		e.Serial, e.Stage = st.Serial, st.Stages[stage].Word
		e.Files.Neck = book.File{Name: st.File, Bytes: st.Data}
		e.Files.Readings = book.File{Name: plainFile(e.Serial+"-"+e.Stage) + ".csv", Bytes: st.CSV(stage)}
	})
	if e.Files.Readings.Bytes == nil {
		return refuse(http.StatusUnprocessableEntity, s.renderer.words.Say("files.noreadings"))
	}
	if given := strings.TrimSpace(r.PostForm.Get("serial")); given != "" && given != e.Serial {
		if err := k.Name(given, screenOf(r.PostForm)); err != nil {
			return err
		}
		e.Serial = given
	}
	for _, line := range strings.Fields(strings.ReplaceAll(r.PostForm.Get("tags"), ",", " ")) {
		key, value, err := book.ParseTag(line)
		if err != nil {
			return refuse(http.StatusUnprocessableEntity, err.Error())
		}
		e.Tags[key] = value
	}
	if err := s.tellDone(e, k, r.PostForm.Get("strokes"), r.PostForm.Get("minutes")); err != nil {
		return err
	}
	if err := answer.Judge(s.cfg.Program).Prepare(r.Context(), e, 0); err != nil {
		return s.bookError(err)
	}
	added, err := book.Put(r.Context(), store, e, 0)
	if err != nil {
		return s.bookError(err)
	}
	if added.New {
		if err := k.Book(added.Record, stage, screenOf(r.PostForm)); err != nil {
			return err
		}
	}
	if late := text.ClockBehind(book.Late([]book.Added{added})); late != "" { // sent again, the same record is no new one
		return s.showFilesAs(w, r, k, late, added.Record)
	}
	return redirect(w, r, "/necks/%s/files?booked=%d", k.ID(), added.Record)
}

// tellDone puts what was done, and the minutes it took, into a record's tags.
func (s *Server) tellDone(e *book.Entry, k *draft.Neck, strokes, minutes string) error {
	if strings.TrimSpace(strokes) != "" {
		done, err := hand.Parse(strokes)
		if err == nil {
			k.Read(func(st *draft.State) {
				err = done.Check(st.Layout.FirstFret(), st.Layout.LastFret(), st.Layout.Strings())
			})
		}
		if err != nil {
			return refuse(http.StatusUnprocessableEntity, err.Error())
		}
		e.Tags[book.StrokesTag] = done.Text()
	}
	if minutes = strings.TrimSpace(minutes); minutes != "" {
		if v, err := unit.Number(minutes); err != nil || v <= 0 {
			return refuse(http.StatusUnprocessableEntity, s.renderer.words.Say("files.notminutes", unit.Quote(minutes)))
		}
		e.Tags[book.MinutesTag] = minutes
	}
	return nil
}
