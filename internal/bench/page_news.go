package bench

import (
	"context"
	"encoding/json"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"ringtrue/internal/bench/draft"
)

// stateAnswer is the page's changing parts, as the script has them.
type stateAnswer struct {
	Seen  int               `json:"seen"`
	Known int               `json:"known"`
	Pass  int               `json:"pass"`
	At    string            `json:"at"`
	Href  string            `json:"href"`
	Said  words             `json:"said,omitempty"`
	Plain bool              `json:"plain,omitempty"` // what is said is no more than what was kept last
	Alarm words             `json:"alarm,omitempty"`
	Keep  bool              `json:"keep,omitempty"`  // leave what is typed in the field
	Over  words             `json:"over,omitempty"`  // what a second Enter sends to replace the reading there
	Open  bool              `json:"open"`            // no reading is there
	Ahead string            `json:"ahead"`           // the crowns without a reading after this one
	Lead  int               `json:"lead"`            // how often the leading screen has moved
	Gauge *lineNews         `json:"gauge,omitempty"` // what a gauge on a line did last
	Wrong []words           `json:"wrong,omitempty"`
	Ended bool              `json:"ended,omitempty"` // the pass's end is to be shown
	Done  bool              `json:"done,omitempty"`  // nothing of the pass is left to read
	Parts map[string]string `json:"parts"`           // those that the screen has not got
	Sums  map[string]string `json:"sums"`            // of those, and of what stands in them
	hurry bool
	have  string
}

func (s *Server) answerState(w http.ResponseWriter, r *http.Request, status int, b readBody, a stateAnswer) error {
	a.Seen, a.Known, a.At, a.Said, a.Alarm = b.Seen, b.Known, string(b.At), words(s.renderer.said(b.Said)), words(s.renderer.said(b.Alarm))
	a.Plain, a.Over, a.Open, a.Ahead, a.Lead = b.Plain, words(b.Over), b.Where.Open, spaced(b.Ahead), b.Lead
	if b.Pass != nil {
		a.Pass = b.Pass.Number
		a.Href = readHref(b.ID, a.Pass, b.At)
	}
	a.Done = b.End.Complete
	if a.Ended = b.End.Shown; a.Ended && b.Pass != nil {
		a.Href += "&end=yes"
	}
	all, err := s.parts(b, a.hurry)
	if err != nil {
		return err
	}
	if a.Parts, a.Sums, err = s.changed(all, a.have); err != nil {
		return err
	}
	s.jsonPacked(w, r, status, a)
	return nil
}

// words are text that the page shows as text. In JSON its angle brackets are
// escaped, whatever is done with those of the parts, which are marks.
type words string

// MarshalJSON implements json.Marshaler.
func (w words) MarshalJSON() ([]byte, error) { return json.Marshal(string(w)) }

// spaced is the sites with a space between, short.
func spaced(sites []draft.Site) string {
	all := make([]string, len(sites))
	for i, s := range sites {
		all[i] = string(s)
	}
	return strings.Join(all, " ")
}

// news answers when the neck, what is known of it or the screen that this one
// follows has changed since what a screen shows, or after a while in any case.
func (s *Server) news(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	q := r.URL.Query()
	stale := false
	if s.line.on() {
		var leave func(context.Context)
		stale, leave = s.leads.arrive(k.ID(), q)
		defer leave(r.Context())
	}
	switch {
	case q.Get("gone") != "":
		w.WriteHeader(http.StatusNoContent)
		return nil
	case q.Get("leads") != "":
		s.goesTo(k, q)
	}
	if !stale {
		s.waitForNews(r.Context(), k, q)
	}
	s.line.settled()
	line := s.line.news(k.ID(), s.renderer) // before the lead: what is told may not be newer than where it leads
	c, lead := cursorOf(q), s.leads.of(k.ID())
	switch {
	case line.leads(q, lead):
		c = lead.cursor
	case q.Get("follow") != "" && lead.number > 0:
		c = lead.cursor
	case q.Get("open") != "":
		c.next = true
	}
	b := s.readBody(r.Context(), k, c)
	b.Lead = lead.number
	return s.answerState(w, r, http.StatusOK, b, stateAnswer{Gauge: line, have: q.Get("have")})
}

// goesTo is a tap on a crown: the screen leads there.
func (s *Server) goesTo(k *draft.Neck, q url.Values) {
	k.Read(func(st *draft.State) {
		if p, at := settle(st, cursorOf(q)); p != nil {
			s.line.answered(st.ID)
			s.leads.move(st.ID, screenOf(q), p.Number, at)
		}
	})
}

func (s *Server) waitForNews(ctx context.Context, k *draft.Neck, q url.Values) {
	number := func(name string) int { n, _ := strconv.Atoi(q.Get(name)); return n }
	seen, known, led := number("seen"), number("known"), number("lead")
	ctx, cancel := context.WithTimeout(ctx, s.times.Poll)
	defer cancel()
	defer context.AfterFunc(s.stopped, cancel)()
	version := func() (v int) {
		k.Read(func(st *draft.State) { v = st.Version })
		return v
	}
	for {
		changed, lead, line := k.Changed(), s.leads.of(k.ID()), s.line.changed()
		if v := version(); v > seen || known < v && s.analyst.of(ctx, k, v) != nil {
			return
		}
		if q.Get("follow") != "" && lead.number != led || s.line.isNews(q) {
			return
		}
		select {
		case <-changed:
		case <-lead.changed:
		case <-line:
		case <-ctx.Done():
			return
		}
	}
}
