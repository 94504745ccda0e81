package bench

import (
	"net/http"
	"slices"
	"strings"
	"time"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/neck"
)

// homeBody is what the first page shows: the necks in work, and ways to start
// one.
type homeBody struct {
	Necks  []homeNeck
	Like   []string
	Book   bool
	NoBook string
	Listed listed   // which of the necks these are
	Unread []string // journals that are damaged from the start
}

type homeNeck struct {
	Href, Name, Serial, Stage, Count string
	When                             time.Time
	Damage                           []string
}

// maxListed is how many necks in work the first page lists.
const maxListed = 100

func (s *Server) showHome(w http.ResponseWriter, r *http.Request) error {
	b := homeBody{Like: neck.Templates(), Book: s.cfg.Book != nil, NoBook: s.cfg.NoBook, Unread: s.unread()}
	all := s.cfg.Folder.All()
	b.Listed = listedOf(r, "/", len(all), maxListed)
	for _, k := range all[b.Listed.From:b.Listed.To] {
		k.Read(func(st *draft.State) {
			b.Necks = append(b.Necks, homeNeck{
				Href: "/necks/" + st.ID, Name: st.Model.Name, Serial: st.Serial, Stage: st.Stages[st.Stage()].Word,
				Count: s.renderer.words.Say("home.count", st.Readings(st.Stage())), When: st.Changed, Damage: s.damageNotice(st).Words,
			})
		})
	}
	return s.show(w, r, "home", head{}, b)
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
