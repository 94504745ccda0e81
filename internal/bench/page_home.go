package bench

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/neck"
)

// homeBody is what the first page shows: the necks in work, and ways to start
// one.
type homeBody struct {
	handBody
	Like   []string
	Book   bool
	NoBook string
	Unread []string // journals that are damaged from the start
}

// handBody is the list of necks in work.
type handBody struct {
	First *neckLine // the newest neck, to go on with
	Find  string
	All   int // necks in work, found or not
	Necks []neckLine
	More  string // where the list goes on
	Left  int
	Wait  bool // some are being worked out
}

// neckLine is a neck in a list.
type neckLine struct {
	ID, Href, Name, Serial, Stage, Count string
	Verdict, Kind, Step                  string
	When                                 time.Time
	Strip                                *strip // nil: not known yet
	Wait, Example                        bool
	Damage                               []string
}

// maxListed is how many necks a page lists.
const maxListed = 40

func (s *Server) showHome(w http.ResponseWriter, r *http.Request) error {
	b := homeBody{handBody: s.hand(r), Like: neck.Templates(), Book: s.cfg.Book != nil, NoBook: s.cfg.NoBook, Unread: s.unread()}
	return s.show(w, r, "home", head{}, b)
}

// giveHand gives the list alone, for the script.
func (s *Server) giveHand(w http.ResponseWriter, r *http.Request) error {
	return s.giveList(w, "home", s.hand(r), "list", "goon")
}

// giveList gives parts of a page.
func (s *Server) giveList(w http.ResponseWriter, page string, b any, names ...string) error {
	parts := map[string]string{}
	for _, name := range names {
		part, err := s.part(page, name, b)
		if err != nil {
			return err
		}
		parts[name] = part
	}
	s.json(w, http.StatusOK, parts)
	return nil
}

// hand lists the necks in work that fit what is looked for, the newest first.
func (s *Server) hand(r *http.Request) handBody {
	all := s.cfg.Folder.All()
	b := handBody{Find: cut(strings.TrimSpace(r.FormValue("find")), 64), All: len(all)}
	if len(all) > 0 {
		first := s.rowOf(all[0])
		b.First = &first
	}
	if b.Find != "" {
		all = slices.DeleteFunc(all, func(k *draft.Neck) bool { return !s.fits(k, b.Find) })
	}
	from, _ := strconv.Atoi(r.FormValue("from")) // none: from the first
	from = min(max(from, 0), len(all))
	all = all[from:]
	if b.Left = len(all) - maxListed; b.Left > 0 {
		all = all[:maxListed]
		b.More = "/?" + url.Values{"find": {b.Find}, "from": {strconv.Itoa(from + maxListed)}}.Encode()
	}
	for _, k := range all {
		row := s.rowOf(k)
		b.Wait = b.Wait || row.Wait
		b.Necks = append(b.Necks, row)
	}
	return b
}

// rowOf is a neck in work as the list has it.
func (s *Server) rowOf(k *draft.Neck) (row neckLine) {
	say := s.renderer.words.Say
	k.Read(func(st *draft.State) {
		j := s.judgementOfDraft(k, st)
		next := s.renderer.stepOf(st, j)
		row = neckLine{ID: st.ID, Href: next.Href, Step: next.Words, Name: st.Model.Name, Serial: st.Serial, Stage: st.Stages[st.Stage()].Word,
			Count: say("home.count", st.Readings(st.Stage())), When: st.Changed, Example: st.Example, Damage: s.damageNotice(st).Words}
		switch {
		case j == nil:
			row.Verdict, row.Kind, row.Wait = say("list.wait"), "none", true
			plain := s.renderer.stripOfDraft(st, nil)
			row.Strip = &plain
			return
		case j.fault != "":
			row.Verdict, row.Kind = say("history.noverdict"), "none"
		case j.verdict == "":
			row.Verdict, row.Kind = say("meaning.none"), "none"
		default:
			row.Verdict, row.Kind = s.renderer.verdictOf(j.verdict, j.crowns, j.open)
		}
		row.Strip = &j.strip
	})
	return row
}

// fits reports whether a neck in work has every word that is looked for: in its
// name, serial, file and stages, or in what was said once a pass.
func (s *Server) fits(k *draft.Neck, find string) (yes bool) {
	k.Read(func(st *draft.State) {
		text := []string{st.Model.Name, st.Serial, st.File}
		for _, g := range st.Stages {
			text = append(text, g.Word)
		}
		for _, p := range st.Passes {
			text = append(text, p.By, p.Gauge)
		}
		yes = hasWords(text, find)
	})
	return yes
}

// hasWords reports whether each word looked for is in one of the texts, whatever
// its case.
func hasWords(texts []string, find string) bool {
	all := strings.ToLower(strings.Join(texts, "\n"))
	for word := range strings.FieldsSeq(strings.ToLower(find)) {
		if !strings.Contains(all, word) {
			return false
		}
	}
	return true
}

// openNeck takes a neck into work: from a file, from the book, or like one of
// the necks to start from.
func (s *Server) openNeck(w http.ResponseWriter, r *http.Request) error {
	f, err := s.file(w, r)
	if err != nil {
		return err
	}
	serial := strings.TrimSpace(r.PostForm.Get("serial"))
	switch r.PostForm.Get("from") {
	case "example":
		return s.tryExample(w, r)
	case "book":
		if f, err = s.neckOfBook(r, serial); err != nil {
			return err
		}
	case "like":
		like := r.PostForm.Get("like")
		if !slices.Contains(neck.Templates(), like) {
			return refuse(http.StatusUnprocessableEntity, s.renderer.words.Say("home.nolike"))
		}
		text, err := neck.Template(like)
		if err != nil {
			return err
		}
		f = filed{like + ".toml", []byte(text)}
	default:
		if f.name == "" {
			return refuse(http.StatusUnprocessableEntity, s.renderer.words.Say("home.nofile"))
		}
	}
	k, err := s.cfg.Folder.Begin(f.name, f.data, serial, screenOf(r.PostForm))
	if err != nil {
		return err
	}
	return redirect(w, r, "/necks/%s/pass", k.ID())
}
