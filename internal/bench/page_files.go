package bench

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

// filesBody is what the page for files, stages and the book shows.
type filesBody struct {
	ID, Serial string
	Stage      string
	Number     int
	Stages     []stageView
	Taken      []string
	Gauges     []reading.Method // whose readings may come as a grid
	Book       bool
	NoBook     string
	Booked     []string
	Now        string // what was just put in the book
	Mind       string // why the book may be too early
	Late       string // the machine's clock stands behind the neck's last record
	Ready      bool   // the stage in work has readings
	Damage     []string
	Example    bool // the book takes nothing of it
	TakeFirst  bool // taking readings in comes before the book
}

type stageView struct {
	Word, Count, Href string
	Any               bool
}

func (s *Server) showFiles(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	return s.showFilesAs(w, r, k, "", 0)
}

// showFilesAs shows the page with what is to be said of the clock, and of the record
// just made, which a request may name too.
func (s *Server) showFilesAs(w http.ResponseWriter, r *http.Request, k *draft.Neck, late string, record int64) error {
	if record == 0 {
		record, _ = strconv.ParseInt(r.URL.Query().Get("booked"), 10, 64)
	}
	b := filesBody{ID: k.ID(), Late: late, Gauges: reading.Gridded(), Book: s.cfg.Book != nil, NoBook: s.cfg.NoBook}
	say := s.renderer.words.Say
	k.Read(func(st *draft.State) {
		b.Damage = s.damage(st)
		b.Serial, b.Number, b.Stage, b.Taken = st.Serial, st.Stage(), st.Stages[st.Stage()].Word, st.Files()
		for i, g := range st.Stages {
			n := st.Readings(i)
			b.Stages = append(b.Stages, stageView{g.Word, say("home.count", n), fmt.Sprintf("/necks/%s/readings.csv?stage=%d", st.ID, i), n > 0})
		}
		b.Ready, b.Example = st.Readings(st.Stage()) > 0, st.Example
		b.TakeFirst = !b.Ready || b.Example || !b.Book
		for _, e := range st.Booked {
			words := say("files.booked", st.Stages[min(e.Stage, st.Stage())].Word, e.Record)
			if b.Booked = append(b.Booked, words); e.Record == record {
				b.Now = say("files.bookednow", words)
			}
		}
	})
	if !b.TakeFirst {
		b.Mind = s.earlyForBook(r, k)
	}
	return s.show(w, r, "files", head{Neck: s.neckHead(k, "files")}, b)
}

// earlyForBook says why a record made now may be too early: crowns are not known, or
// the verdict is in doubt. "" where neither is.
func (s *Server) earlyForBook(r *http.Request, k *draft.Neck) string {
	n, say := s.newest(r.Context(), k), s.renderer.words.Say
	var version int
	k.Read(func(st *draft.State) { version = st.Version })
	switch {
	case n == nil || n.version < version || n.frets == nil:
		return say("files.earlyunjudged")
	case len(n.frets.Undetermined) > 0:
		known := len(n.frets.Crowns)
		return say("files.earlyopen", known, known+len(n.frets.Undetermined))
	case n.frets.Verdict == string(straight.InDoubt):
		return say("files.earlydoubt")
	}
	return ""
}

// giveReadings gives a stage's readings as a file that `frets` takes.
func (s *Server) giveReadings(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	var data []byte
	var name string
	var err error
	k.Read(func(st *draft.State) {
		stage := st.Stage()
		if text := r.URL.Query().Get("stage"); text != "" {
			stage, err = strconv.Atoi(text)
		}
		if err == nil && stage >= 0 && stage < len(st.Stages) {
			data = st.CSV(stage)
			name = plainFile(st.Model.Name + "-" + st.Serial + "-" + st.Stages[stage].Word)
		}
	})
	if data == nil {
		return refuse(http.StatusNotFound, s.renderer.words.Say("files.noreadings"))
	}
	return give(w, "text/csv; charset=utf-8", name+".csv", data)
}

// giveNeck gives the neck file, byte for byte as it came.
func (s *Server) giveNeck(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	var data []byte
	var name string
	k.Read(func(st *draft.State) { data, name = st.Data, plainFile(st.Model.Name) })
	return give(w, "application/toml", name+".toml", data)
}

func give(w http.ResponseWriter, kind, name string, data []byte) error {
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Disposition", `attachment; filename="`+name+`"`)
	w.Header().Set("Content-Length", strconv.Itoa(len(data)))
	_, _ = w.Write(data)
	return nil
}

// plainFile makes a file's name of words: letters, digits and dashes.
func plainFile(words string) string {
	name := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			return r
		case r >= 'A' && r <= 'Z':
			return r - 'A' + 'a'
		}
		return '-'
	}, cut(words, 80))
	name = strings.Join(strings.FieldsFunc(name, func(r rune) bool { return r == '-' }), "-")
	if name == "" {
		return "neck"
	}
	return name
}

// endStage ends the stage in work: the neck was worked on and is read anew.
func (s *Server) endStage(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	stage, err := strconv.Atoi(r.PostForm.Get("number"))
	if err != nil {
		return refuse(http.StatusBadRequest, s.renderer.words.Say("refused.form"))
	}
	if err := k.Work(strings.TrimSpace(r.PostForm.Get("word")), stage, screenOf(r.PostForm)); err != nil {
		return err
	}
	return redirect(w, r, "/necks/%s/pass", k.ID())
}

// nameNeck gives the neck its serial.
func (s *Server) nameNeck(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	if err := k.Name(strings.TrimSpace(r.PostForm.Get("serial")), screenOf(r.PostForm)); err != nil {
		return err
	}
	return redirect(w, r, "/necks/%s/files", k.ID())
}

// putAway takes the neck off the list of necks in work. Its journal stays.
func (s *Server) putAway(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	if r.PostForm.Get("sure") == "" {
		return refuse(http.StatusUnprocessableEntity, s.renderer.words.Say("files.notsure"))
	}
	if err := s.cfg.Folder.PutAway(k.ID()); err != nil {
		return err
	}
	return redirect(w, r, "/")
}
