package bench

import (
	"errors"
	"net/http"
	"slices"
	"strings"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/fileerr"
	"ringtrue/internal/reading"
	"ringtrue/internal/spreadsheet"
)

// pastedName is what messages call readings that were pasted into the page.
const pastedName = "pasted"

// takeFile takes readings in: a file, or a grid pasted from a spreadsheet. What a
// grid's comment lines leave out is chosen beside it.
func (s *Server) takeFile(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	f, err := s.file(w, r)
	if err != nil {
		return err
	}
	if pasted := r.PostForm.Get("pasted"); f.name == "" && strings.TrimSpace(pasted) != "" {
		f = filed{pastedName, []byte(pasted)}
	}
	if f.name == "" {
		return refuse(http.StatusUnprocessableEntity, s.renderer.words.Say("files.none"))
	}
	var book spreadsheet.Table
	if spreadsheet.Is(f.data) {
		if book, err = spreadsheet.Read(f.name, f.data); err != nil {
			return err
		}
		if f.data = book.Text; len(book.Others) > 0 {
			f.name += ", " + book.Sheet
		}
	}
	if f.data, err = s.completed(f, reading.Said{Method: r.PostForm.Get("gauge"), Unit: r.PostForm.Get("unit"), Pass: r.PostForm.Get("pass")}); err == nil {
		err = k.Take(f.name, f.data, screenOf(r.PostForm))
	}
	if err != nil {
		return inSheet(err, book)
	}
	return redirect(w, r, "/necks/%s", k.ID())
}

// completed adds to a grid what was chosen beside it.
func (s *Server) completed(f filed, said reading.Said) ([]byte, error) {
	say := s.renderer.words.Say
	if !reading.IsGrid(f.data) {
		if said != (reading.Said{}) {
			return nil, refuse(http.StatusUnprocessableEntity, say("files.onlygrid", f.name))
		}
		return f.data, nil
	}
	var lines []string
	lacking := reading.Lacking(f.data, said)
	if slices.Contains(lacking, "method") {
		lines = append(lines, say("files.lacksmethod", f.name))
	}
	if slices.Contains(lacking, "unit") {
		lines = append(lines, say("files.lacksunit", f.name))
	}
	if len(lines) > 0 {
		return nil, refuse(http.StatusUnprocessableEntity, lines...)
	}
	return reading.Complete(f.name, f.data, said)
}

// inSheet names the faults of a workbook by sheet and cell.
func inSheet(err error, book spreadsheet.Table) error {
	var faults fileerr.List
	if book.Text == nil || !errors.As(err, &faults) {
		return err
	}
	for i := range faults {
		faults[i].File = book.File
	}
	book.Place(faults)
	return err
}
