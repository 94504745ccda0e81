package bench

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/fileerr"
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
	Picture picture
	Meaning meaning
	Said    string // what the last press did
	Alarm   string // a reading just taken does not look right, or does not agree
	Ask     []question
	AskMore int    // questions beyond those
	Typed   string // what stands in the field after a refusal
}

// whereView is the crown to read now.
type whereView struct {
	Big, Small string // "Fret 7, lane 1", and how the gauge stands
	There      string // the reading that is there
	Misread    bool
	Count      string // so many of so many
	Left       string // what is still wanted, where files have told of the crowns
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
}

func cursorOf(v url.Values) cursor {
	c := cursor{}
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

// showRead shows a neck and the crown to read.
func (s *Server) showRead(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	return s.showReadAs(w, r, k, http.StatusOK, s.readBody(r.Context(), k, cursorOf(r.URL.Query())))
}

func (s *Server) showReadAs(w http.ResponseWriter, r *http.Request, k *draft.Neck, status int, b readBody) error {
	return s.showAs(w, r, status, "read", head{Neck: s.neckHead(k, "read")}, b)
}

// neckHead is what stands above every page of a neck.
func (s *Server) neckHead(k *draft.Neck, page string) *neckHead {
	h := &neckHead{ID: k.ID(), Tabs: s.renderer.tabs(k.ID(), page)}
	k.Read(func(st *draft.State) {
		h.Name, h.Serial, h.Stage = st.Model.Name, st.Serial, st.Stages[st.Stage()].Word
	})
	return h
}

// readBody gathers what the page shows, waiting a little for what the newest
// readings mean.
func (s *Server) readBody(ctx context.Context, k *draft.Neck, c cursor) readBody {
	var version int
	k.Read(func(st *draft.State) { version = st.Version })
	ctx, cancel := context.WithTimeout(ctx, s.times.Answer)
	defer cancel()
	return s.readBodyOf(k, c, s.analyst.of(ctx, k, version))
}

func (s *Server) readBodyOf(k *draft.Neck, c cursor, n *analysis) readBody {
	var b readBody
	k.Read(func(st *draft.State) { b = s.renderer.readView(st, c, n, s.askedOf(st)) })
	b.Last = s.renderer.recent(k)
	return b
}

// maxAsked is how many questions are shown at once.
const maxAsked = 3

// readView is the page's content.
func (l *renderer) readView(st *draft.State, c cursor, n *analysis, asked []question) readBody {
	p, at := settle(st, c)
	if p != nil && c.at == "" {
		at = openSite(st, p, at, n)
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
	b.Picture = l.draw(st, p, at, n, asked)
	b.Meaning = l.meaning(st, p, n, asked)
	if p == nil {
		return b
	}
	b.Keys = reading.Method(p.Method).Spec()
	b.Where, b.Go = l.where(st, p, at), goTo(st.Sites(p), at)
	b.Where.Left = l.left(st, p, at, n)
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
	w := whereView{Big: l.words.Say("read.big", at.Fret(), unit.Decimal(at.Lane())), Small: text.OfMethod(reading.Method(p.Method)).Stands(at.Named())}
	w.Count = l.count(st, p)
	if e := st.Entry(p.Number, at); e != nil {
		w.There, w.Misread = l.asTyped(e.Said()), e.Misread
	}
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

// recent says what was kept last, and by which screen.
func (l *renderer) recent(k *draft.Neck) []string {
	var out []string
	for _, e := range k.Recent(40) {
		if len(out) == 4 {
			break
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
	return out
}

// stateAnswer is the page's changing parts, as the script has them.
type stateAnswer struct {
	Seen  int               `json:"seen"`
	Known int               `json:"known"`
	Pass  int               `json:"pass"`
	At    string            `json:"at"`
	Href  string            `json:"href"`
	Said  string            `json:"said,omitempty"`
	Alarm string            `json:"alarm,omitempty"`
	Keep  bool              `json:"keep,omitempty"` // leave what is typed in the field
	Wrong []string          `json:"wrong,omitempty"`
	Parts map[string]string `json:"parts"`
	hurry bool
}

// parts of the read page that change; in a hurry only the small ones.
func readParts(hurry bool) []string {
	if hurry {
		return []string{"where", "last", "alarm", "ask"}
	}
	return []string{"where", "last", "alarm", "ask", "picture", "meaning"}
}

func (s *Server) answerState(w http.ResponseWriter, status int, b readBody, a stateAnswer) error {
	a.Seen, a.Known, a.At, a.Said, a.Alarm = b.Seen, b.Known, string(b.At), s.renderer.said(b.Said), s.renderer.said(b.Alarm)
	if b.Pass != nil {
		a.Pass = b.Pass.Number
		a.Href = readHref(b.ID, a.Pass, b.At)
	}
	a.Parts = map[string]string{}
	for _, name := range readParts(a.hurry) {
		part, err := s.part("read", name, b)
		if err != nil {
			return err
		}
		a.Parts[name] = part
	}
	s.json(w, status, a)
	return nil
}

// news answers when the neck or what is known of it has changed since what a
// screen shows, or after a while in any case.
func (s *Server) news(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	q := r.URL.Query()
	seen, _ := strconv.Atoi(q.Get("seen"))
	known, _ := strconv.Atoi(q.Get("known"))
	ctx, cancel := context.WithTimeout(r.Context(), s.times.Poll)
	defer cancel()
	defer context.AfterFunc(s.stopped, cancel)()
	version := func() (v int) {
		k.Read(func(st *draft.State) { v = st.Version })
		return v
	}
	for {
		changed := k.Changed()
		if v := version(); v > seen || known < v && s.analyst.of(ctx, k, v) != nil {
			break
		}
		select {
		case <-changed:
			continue
		case <-ctx.Done():
		}
		break
	}
	return s.answerState(w, http.StatusOK, s.readBody(r.Context(), k, cursorOf(q)), stateAnswer{})
}

// read takes one press of the page: a reading kept, or a step.
func (s *Server) read(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	press := pressOf(r.PostForm)
	k.Read(func(st *draft.State) { press.p, press.at = settle(st, cursorOf(r.PostForm)) })
	if press.p == nil {
		return refuse(http.StatusConflict, s.renderer.words.Say("read.nopass"))
	}
	before := s.asked(k)
	done, err := s.press(k, press)
	status := http.StatusOK
	switch {
	case errors.Is(err, draft.ErrConflict):
		status, done = http.StatusConflict, pressed{at: press.at, keep: true, said: s.clash(k, press)}
	case fileerr.Is(err), isRefusal(err):
		status, done = http.StatusUnprocessableEntity, pressed{at: press.at, keep: true, said: plainFaults(err)}
	case err != nil:
		return err
	}
	var b readBody
	hurry := r.PostForm.Get("hurry") != "" && status == http.StatusOK
	if c := (cursor{press.p.Number, done.at}); hurry {
		b = s.readBodyOf(k, c, s.analyst.begun(k))
	} else {
		b = s.readBody(r.Context(), k, c)
	}
	b.Said = done.said
	b.Alarm = alarmOf(before, s.asked(k), done.kept, press.p.Number)
	if b.Alarm == "" && done.kept != "" {
		b.Alarm = s.renderer.alarm(k, s.analyst.latest(k), press.p, done.kept)
	}
	if done.keep {
		b.Typed = press.typed
	}
	if wantsJSON(r) {
		return s.answerState(w, status, b, stateAnswer{Keep: done.keep, hurry: hurry})
	}
	if status != http.StatusOK || b.Alarm != "" || done.keep {
		return s.showReadAs(w, r, k, status, b)
	}
	return redirect(w, r, "%s", readHref(k.ID(), press.p.Number, done.at))
}

func isRefusal(err error) bool {
	var known *refusal
	var asked *draft.Refused
	return errors.As(err, &known) || errors.As(err, &asked)
}

// plainFaults are a reading's faults without the place in a file that it has
// not got.
func plainFaults(err error) string { return strings.Join(plainList(err), "; ") }

// clash says what another screen has put in the place.
func (s *Server) clash(k *draft.Neck, p press) string {
	if p.do == "undo" {
		return s.renderer.words.Say("read.clashundo")
	}
	said := ""
	k.Read(func(st *draft.State) {
		if e := st.Entry(p.p.Number, p.at); e != nil {
			said = s.renderer.asTyped(e.Said())
		}
	})
	return s.renderer.words.Say("read.clash", said, p.at.Named(), unit.Decimal(p.at.Lane()))
}

// place is where a line of the readings came from.
func (n *analysis) place(line int) (draft.Place, bool) {
	if line < 2 || line-2 >= len(n.places) {
		return draft.Place{}, false
	}
	return n.places[line-2], true
}

func round3(mm float64) float64 {
	v, _ := strconv.ParseFloat(fmt.Sprintf("%.3f", mm), 64)
	return v + 0
}
