package bench

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"time"

	"ringtrue/internal/answer"
	"ringtrue/internal/bench/draft"
	"ringtrue/internal/book"
	"ringtrue/internal/inhand"
	"ringtrue/internal/straight"
	"ringtrue/internal/text"
)

// shopBody is every neck in hand, in the order in which something can be done.
type shopBody struct {
	*answer.InHandAnswer
	First *shopLine // what can be done next
	Lines []shopLine
	By    string // who uses this screen, as was said last
	Book  bool
	Wait  bool   // some are being worked out
	Sum   string // of the list as it is shown
}

// shopLine is a neck in hand.
type shopLine struct {
	neckLine
	Row                           string // the line's place on the page
	Next, Turn, Who, Waited, Note string
	Taps                          []tap
	Told                          bool // something can be said of it
	By                            string
}

// tap is a button that says what was done.
type tap struct{ Say, Words string }

// mostHanded is how many people a line offers to hand a neck to: more crowd it.
const mostHanded = 3

// shopDays is for how long a neck is listed that nobody touches.
const shopDays = 90

func (s *Server) showShop(w http.ResponseWriter, r *http.Request) error {
	b, err := s.shop(r)
	if err != nil {
		return err
	}
	return s.show(w, r, "shop", head{}, b)
}

// shop lists the necks in hand: of the book, and in work here.
func (s *Server) shop(r *http.Request) (shopBody, error) {
	b := shopBody{By: cut(strings.TrimSpace(r.FormValue("by")), 64), Book: s.cfg.Book != nil}
	var err error
	b.InHandAnswer, err = answer.InHand(r.Context(), s.cfg.Book, answer.InHandRequest{
		Now: s.cfg.Now(), Days: shopDays, Most: maxListed, Shop: s.cfg.Shop, InWork: s.inWork(), Work: s.workOf,
	})
	if err != nil {
		return b, s.bookSays(err)
	}
	for i, n := range b.Necks {
		l, err := s.shopLine(r.Context(), n)
		if err != nil {
			return b, err
		}
		l.Row, l.By = fmt.Sprint("s", i), b.By
		s.offerHands(&l, b.People)
		b.Wait = b.Wait || l.Wait
		b.Lines = append(b.Lines, l)
	}
	if len(b.Lines) > 0 && b.Lines[0].Turn == string(inhand.Now) {
		b.First = &b.Lines[0]
	}
	list, err := s.part("shop", "list", b)
	b.Sum = sumOf(list)
	return b, err
}

// inWork are the necks whose readings are being taken on this bench.
func (s *Server) inWork() (all []answer.InWork) {
	for _, k := range s.cfg.Folder.All() {
		k.Read(func(st *draft.State) {
			if st.Example {
				return
			}
			w := answer.InWork{ID: st.ID, Serial: st.Serial, Model: st.Model.Name, Opened: st.Opened,
				Nothing: len(st.Stages) == 1 && st.Readings(0) == 0, Parsed: book.Parsed{Model: st.Model, Layout: st.Layout}}
			w.Stage, w.At = st.Stages[st.Stage()].Word, st.Changed
			if n := len(st.Passes); n > 0 {
				w.By = st.Passes[n-1].By
			}
			if j := s.judged.of(st.ID); j != nil && j.read == st.Read && j.stage == st.Stage() {
				w.Work = workIn(j)
				if j.open == 0 && j.asks == "" { // else it is still being read
					w.Verdict, w.FretsOff = straight.Verdict(j.verdict), len(j.frets)
				}
			}
			all = append(all, w)
		})
	}
	return all
}

// workOf is what is known already of what a record's readings ask for.
func (s *Server) workOf(_ int64, serial string) *text.InHandWork {
	j := s.judged.of("book " + serial)
	if j == nil || j.stored || j.fault != "" {
		return nil
	}
	return workIn(j)
}

func workIn(j *judgement) *text.InHandWork {
	w := &text.InHandWork{Again: len(j.again), First: j.frets, Whole: j.whole, File: j.filed, Wait: j.why != ""}
	if w.Again > 0 {
		w.AgainFret, w.AgainLane = j.again[0].fret, j.again[0].lane
	}
	return w
}

// shopLine is a neck as the page has it, with its strip.
func (s *Server) shopLine(ctx context.Context, n answer.InHandNeck) (shopLine, error) {
	l := shopLine{Next: capital(n.Words), Turn: string(n.Turn), Who: n.Who, Waited: n.Ago, Note: n.Note}
	switch {
	case n.ID != "":
		k, err := s.cfg.Folder.Get(n.ID)
		if err != nil { // put away just now
			break
		}
		l.neckLine = s.rowOf(k)
		if n.Own {
			l.Next = l.Step
		}
	case n.Record > 0:
		necks, err := s.cfg.Book.Necks(ctx, book.Filter{Serial: n.Serial}, book.Page{})
		if err != nil {
			return l, s.bookSays(err)
		}
		if len(necks) == 0 {
			break
		}
		if l.neckLine, err = s.rowOfRecord(ctx, necks[0]); err != nil {
			return l, err
		}
	default:
		l.neckLine = neckLine{Href: "/book", Kind: "none"}
	}
	l.Serial, l.Name = n.Serial, n.Model
	if n.Serial == "" || s.cfg.Book == nil {
		return l, nil
	}
	l.Told = true
	for _, k := range n.Taps {
		l.Taps = append(l.Taps, tap{string(k), s.renderer.words.Say(tapKeys()[k])})
	}
	return l, nil
}

// offerHands puts a button on a line for each person it can be handed to.
func (s *Server) offerHands(l *shopLine, people []string) {
	if !l.Told || l.Turn == string(inhand.Over) {
		return
	}
	left := mostHanded
	for _, who := range people {
		if left > 0 && who != l.Who {
			l.Taps = append(l.Taps, tap{string(inhand.Handed) + " " + who, s.renderer.words.Say("shop.hand", who)})
			left--
		}
	}
}

// tapKeys are the words of each tap.
func tapKeys() map[inhand.Kind]string {
	return map[inhand.Kind]string{
		inhand.Glued: "shop.glued", inhand.Pressed: "shop.pressed", inhand.Filed: "shop.levelled", inhand.IsStrung: "shop.strung",
		inhand.Here: "shop.here", inhand.IsDry: "shop.dry", inhand.Gone: "shop.gone", inhand.Back: "shop.back",
	}
}

// takeNote keeps what a tap or a line says of a neck.
func (s *Server) takeNote(w http.ResponseWriter, r *http.Request) error {
	if err := s.form(w, r); err != nil {
		return err
	}
	store, err := s.needBook()
	if err != nil {
		return err
	}
	n := book.Said{Serial: strings.TrimSpace(r.PostForm.Get("serial")), By: strings.TrimSpace(r.PostForm.Get("by")), Text: strings.TrimSpace(r.PostForm.Get("say"))}
	if typed := strings.TrimSpace(r.PostForm.Get("text")); n.Text == "" {
		n.Text = typed
	}
	if n.Text == "" {
		return refuse(http.StatusUnprocessableEntity, s.renderer.words.Say("shop.empty"))
	}
	if _, err := answer.Tell(r.Context(), store, n, s.cfg.Now(), s.isInWork(n.Serial), s.cfg.Shop); err != nil {
		return s.bookSays(err)
	}
	return redirect(w, r, "/shop?%s", url.Values{"by": {n.By}}.Encode())
}

// isInWork reports whether a serial is that of a neck in work: the book need not know
// it yet.
func (s *Server) isInWork(serial string) (yes bool) {
	for _, k := range s.cfg.Folder.All() {
		k.Read(func(st *draft.State) { yes = yes || st.Serial == serial })
	}
	return yes
}

// giveShop answers with the list once it is another than the screen shows, or after a
// while in any case.
func (s *Server) giveShop(w http.ResponseWriter, r *http.Request) error {
	ctx, cancel := context.WithTimeout(r.Context(), s.times.Poll)
	defer cancel()
	defer context.AfterFunc(s.stopped, cancel)()
	have, last := r.FormValue("have"), ""
	for {
		if now := s.shopVersion(r.Context()); now != last || now == "" {
			last = now
			b, err := s.shop(r)
			if r.Context().Err() != nil {
				return nil // the screen is gone
			}
			if err != nil {
				return err
			}
			if b.Sum != have || b.Wait || ctx.Err() != nil {
				return s.giveShopParts(w, b)
			}
		}
		select {
		case <-time.After(s.times.Look):
		case <-ctx.Done():
			last = ""
		}
		if r.Context().Err() != nil {
			return nil
		}
	}
}

func (s *Server) giveShopParts(w http.ResponseWriter, b shopBody) error {
	parts := map[string]any{"sum": b.Sum, "wait": b.Wait, "count": b.Headline}
	for _, name := range []string{"list", "goon"} {
		html, err := s.part("shop", name, b)
		if err != nil {
			return err
		}
		parts[name] = html
	}
	s.json(w, http.StatusOK, parts)
	return nil
}

// shopVersion changes with the book, with each neck in work, and with the minute.
func (s *Server) shopVersion(ctx context.Context) string {
	version := s.cfg.Now().Format("2006-01-02 15:04")
	for _, k := range s.cfg.Folder.All() {
		k.Read(func(st *draft.State) { version += fmt.Sprint(" ", st.ID, st.Version) })
	}
	if s.cfg.Book == nil {
		return version
	}
	record, err := s.cfg.Book.Last(ctx)
	note, noteErr := s.cfg.Book.LastNote(ctx)
	if err != nil || noteErr != nil {
		return "" // the list itself says what is wrong
	}
	return fmt.Sprint(version, " ", record, " ", note)
}
