package bench

import (
	"context"
	"errors"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/reading"
	"ringtrue/internal/text"
	"ringtrue/internal/unit"
)

// readBody is what the page for reading shows. Its parts are templates of their
// own, so that the script can put a new one in place of the old.
type readBody struct {
	ID      string
	Seen    int // the version shown
	Known   int // the version that picture and verdict stand for
	Pass    *draft.Pass
	Passes  []passLink
	At      draft.Site
	Where   whereView
	Keys    reading.Spec // which keys there are besides the number
	Go      goView
	Last    []string
	Latest  string // the last reading kept, short
	Picture picture
	Meaning meaning
	Said    string // what the last press did
	Plain   bool   // it is no more than what was kept last, which the page shows
	Alarm   string // a reading just taken does not look right, or does not agree
	Stays   standing
	Ahead   []draft.Site // the crowns without a reading after this one
	Ask     []question
	AskMore int    // questions beyond those
	Typed   string // what stands in the field after a refusal
	Over    string // what a second Enter sends to replace the reading there
	Lead    int    // how often the leading screen has moved
	End     passEnd
	Have    string // which parts the page shows: see parts
	Line    lineView
}

// whereView is the crown to read now.
type whereView struct {
	Small      string // how the gauge stands
	There      string // the reading that is there
	Misread    bool
	Count      string // so many of so many
	Open       bool   // no reading is there
	Left       string // what is still wanted, where files have told of the crowns
	Fret, Lane string // the crown, set in large figures
	Read, All  int    // crowns of the pass
}

type passLink struct {
	Href, Words string
	Here        bool
}

func readHref(id string, pass int, at draft.Site) string {
	return "/necks/" + id + "?" + url.Values{"pass": {strconv.Itoa(pass)}, "at": {string(at)}}.Encode()
}

// cursor is which pass a screen reads and where it is.
type cursor struct {
	pass int
	at   draft.Site
	end  bool // the pass's end is shown, while nothing of it is open
	next bool // where another screen has read the crown meanwhile: the next that is open
}

func cursorOf(v url.Values) cursor {
	c := cursor{end: v.Get("end") != ""}
	c.pass, _ = strconv.Atoi(v.Get("pass"))
	c.at, _ = draft.ParseSite(v.Get("at")) // none is the pass's start
	if v.Has("fret") && c.at == "" {
		c.at, _ = draft.ParseSite(v.Get("fret") + "@" + v.Get("lane"))
	}
	return c
}

// settle makes a cursor one that the neck has: the latest pass of the stage, its
// first crown without a reading.
func settle(s *draft.State, c cursor) (*draft.Pass, draft.Site) {
	p := s.Pass(c.pass)
	if p == nil {
		for _, q := range s.Passes {
			if q.Stage == s.Stage() {
				p = q
			}
		}
	}
	if p == nil {
		return nil, ""
	}
	if at, ok := s.SiteAt(p, c.at); ok {
		return p, at
	}
	return p, s.Start(p)
}

// toRead leads from where a form was answered to the page itself.
func (s *Server) toRead(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	return redirect(w, r, "/necks/%s?%s", k.ID(), r.URL.RawQuery)
}

// showRead shows a neck and the crown to read.
func (s *Server) showRead(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	return s.showReadAs(w, r, k, http.StatusOK, s.readBody(r.Context(), k, cursorOf(r.URL.Query())))
}

func (s *Server) showReadAs(w http.ResponseWriter, r *http.Request, k *draft.Neck, status int, b readBody) error {
	all, err := s.parts(b, false)
	if err != nil {
		return err
	}
	b.Have = have(all)
	return s.showAs(w, r, status, "read", head{Neck: s.neckHead(k, "read")}, b)
}

// neckHead is what stands above every page of a neck.
func (s *Server) neckHead(k *draft.Neck, page string) *neckHead {
	h := &neckHead{ID: k.ID(), Tabs: s.renderer.tabs(k.ID(), page)}
	k.Read(func(st *draft.State) {
		h.Damage = s.damageNotice(st)
		h.Name, h.Serial, h.Stage = st.Model.Name, st.Serial, st.Stages[st.Stage()].Word
		if st.Example {
			h.Stage = s.renderer.words.Say("example.stage", h.Stage)
		}
	})
	if page == "read" {
		return h
	}
	row := s.rowOf(k)
	if row.Wait && page != "" { // the strip must not say less than the page; what went wrong does not wait
		s.newest(s.stopped, k)
		row = s.rowOf(k)
	}
	h.Strip = row.Strip
	return h
}

// readBody gathers what the page shows, waiting a little for what the newest
// readings mean.
func (s *Server) readBody(ctx context.Context, k *draft.Neck, c cursor) readBody {
	return s.readBodyOf(k, c, s.newest(ctx, k))
}

func (s *Server) readBodyOf(k *draft.Neck, c cursor, n *analysis) readBody {
	var b readBody
	k.Read(func(st *draft.State) {
		b = s.renderer.readView(st, c, n, s.askedOf(st))
		if b.End = s.ending(st, c, &b, n); b.End.Shown && len(b.Meaning.Advice) > 0 {
			b.Meaning.Deed = b.Meaning.Advice[0] // the pass is over: nothing comes after it
		}
	})
	b.Last, b.Latest = s.renderer.recent(k)
	b.Line = s.line.view()
	return b
}

// maxAsked is how many questions are shown at once.
const maxAsked = 3

// readView is the page's content.
func (l *renderer) readView(st *draft.State, c cursor, n *analysis, asked []question) readBody {
	p, at := settle(st, c)
	switch {
	case p == nil:
	case c.at == "":
		at = openSite(st, p, at, n)
	case c.next && at == c.at:
		if e := st.Entry(p.Number, at); e != nil && !e.Misread {
			at, _ = st.Next(p, at)
		}
	}
	b := readBody{ID: st.ID, Seen: st.Version, Pass: p, At: at}
	if n != nil {
		b.Known = n.version
	}
	for _, q := range st.Passes {
		if q.Stage == st.Stage() {
			b.Passes = append(b.Passes, passLink{readHref(st.ID, q.Number, st.Start(q)), l.passWords(q), p != nil && q.Number == p.Number})
		}
	}
	b.Ask, b.AskMore = asked[:min(maxAsked, len(asked))], max(0, len(asked)-maxAsked)
	b.Stays = l.standing(st, n, asked)
	b.Picture = l.draw(st, p, at, n, asked)
	b.Meaning = l.meaning(st, p, n, asked)
	if p == nil {
		return b
	}
	b.Keys = reading.Method(p.Method).Spec()
	b.Where, b.Go = l.where(st, p, at), goTo(st.Sites(p), at)
	b.Ahead = st.Ahead(p, at)
	if b.Where.Left = l.left(st, p, at, n); b.Where.Left != "" {
		b.Meaning.Deed = l.deedLeft(b.Where.Left, b.Meaning.Advice)
		b.Meaning.Deed.Href = l.nextAsked(st, n, asked).Href
	}
	return b
}

func (l *renderer) passWords(p *draft.Pass) string {
	words := l.words.Say("read.pass", p.Number, text.OfMethod(reading.Method(p.Method)).Name)
	if p.Turned {
		words += l.words.Say("read.turned")
	}
	return words
}

// where says which crown is to be read.
func (l *renderer) where(st *draft.State, p *draft.Pass, at draft.Site) whereView {
	w := whereView{Small: text.OfMethod(reading.Method(p.Method)).Stands(at.Named())}
	w.Fret, w.Lane = strconv.Itoa(at.Fret()), unit.Decimal(at.Lane())
	w.Count, w.Read, w.All = l.count(st, p), st.Count(p.Number), len(st.Sites(p))
	e := st.Entry(p.Number, at)
	if e != nil {
		w.There, w.Misread = l.asTyped(e.Said()), e.Misread
	}
	w.Open = e == nil || e.Misread
	return w
}

// count says how far a pass is. Where the stage has other readings it says so,
// since the picture shows those of all.
func (l *renderer) count(st *draft.State, p *draft.Pass) string {
	read, all, filed := st.Count(p.Number), len(st.Sites(p)), st.Filed(p.Stage)
	switch others := st.Readings(p.Stage) - read - filed; {
	case filed > 0 && others > 0:
		return l.words.Say("read.countall", read, all, others, filed)
	case filed > 0:
		return l.words.Say("read.countfile", read, all, filed)
	case others > 0:
		return l.words.Say("read.countpass", read, all, others)
	}
	return l.words.Say("read.count", read, all)
}

// maxRecent is how many of a neck's last changes are looked through.
const maxRecent = 40

// recent says what was kept last, and by which screen.
func (l *renderer) recent(k *draft.Neck) (out []string, latest string) {
	there := map[int]bool{} // which of the last changes are readings that stand
	events := k.Recent(maxRecent)
	k.Read(func(st *draft.State) {
		for i, e := range events {
			there[i] = stillThere(st, e)
		}
	})
	for i, e := range events {
		if latest == "" && there[i] {
			said := draft.Entry{Reading: e.Reading, NoGo: e.NoGo, Unit: e.Unit}
			latest = l.words.Say("read.latest", l.asTyped(said.Said()), e.Site.Named(), unit.Decimal(e.Site.Lane()))
		}
		if len(out) == 4 {
			continue
		}
		switch e.Kind {
		case draft.Set:
			said, key := draft.Entry{Reading: e.Reading, NoGo: e.NoGo, Unit: e.Unit}, "read.kept"
			if e.Stands {
				key = "read.stood"
			}
			out = append(out, l.words.Say(key, l.asTyped(said.Said()), e.Site.Named(), unit.Decimal(e.Site.Lane()), e.Pass))
		case draft.Misread:
			out = append(out, l.words.Say("read.marked", e.Site.Named(), unit.Decimal(e.Site.Lane()), e.Pass))
		case draft.Undone:
			out = append(out, l.words.Say("read.undone"))
		case draft.Taken:
			out = append(out, l.words.Say("read.taken", e.Name))
		}
	}
	return out, latest
}

// read takes one press of the page: a reading kept, or a step.
func (s *Server) read(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	press := pressOf(r.PostForm)
	k.Read(func(st *draft.State) { press.p, press.at = settle(st, cursorOf(r.PostForm)) })
	if press.p == nil {
		return refuse(http.StatusConflict, s.renderer.words.Say("read.nopass"))
	}
	before := s.asked(k)
	done, status, err := s.deed(k, press)
	if err != nil {
		return err
	}
	if done.over != "" && wantsJSON(r) && r.PostForm.Has("over") { // a script that can ask: to it this is an answer, no fault
		status = http.StatusOK
	}
	s.line.answered(k.ID())
	s.leads.move(k.ID(), press.screen, press.p.Number, done.at)
	var b readBody
	hurry := r.PostForm.Get("hurry") != "" && status == http.StatusOK
	if c := (cursor{press.p.Number, done.at, done.end, done.kept != "" && !done.end}); hurry {
		b = s.readBodyOf(k, c, s.analyst.begun(k))
	} else {
		b = s.readBody(r.Context(), k, c)
	}
	b.Said, b.Plain, b.Over, b.Lead = done.said, done.plain, done.over, s.leads.of(k.ID()).number
	b.Alarm = s.alarmed(k, press, done, before)
	if b.Alarm != "" && b.Stays.Words != b.Alarm {
		b.Stays = standing{Words: b.Alarm, Short: b.Alarm}
	}
	if done.keep {
		b.Typed = press.typed
	}
	if wantsJSON(r) {
		return s.answerState(w, r, status, b, stateAnswer{Keep: done.keep, hurry: hurry, have: r.PostForm.Get("have")})
	}
	if status != http.StatusOK || b.Alarm != "" || done.keep || done.said != "" && !done.plain && !done.end {
		return s.showReadAs(w, r, k, status, b)
	}
	href := readHref(k.ID(), press.p.Number, done.at)
	if b.End.Shown {
		href += "&end=yes"
	}
	return redirect(w, r, "%s", href)
}

func isRefusal(err error) bool {
	var known *refusal
	var asked *draft.Refused
	return errors.As(err, &known) || errors.As(err, &asked)
}

// plainFaults are a reading's faults without the place in a file that it has
// not got.
func plainFaults(err error) string { return strings.Join(plainList(err), "; ") }

// place is where a line of the readings came from.
func (n *analysis) place(line int) (draft.Place, bool) {
	if line < 2 || line-2 >= len(n.places) {
		return draft.Place{}, false
	}
	return n.places[line-2], true
}
