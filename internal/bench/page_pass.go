package bench

import (
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/reading"
	"ringtrue/internal/text"
	"ringtrue/internal/unit"
)

// passBody is what the page for a new pass shows.
type passBody struct {
	ID          string
	Offer       offer
	Methods     []choice
	ByFile      []text.Method
	Along       string // the gauges that lie along a lane
	Turnable    string // those that may lie end for end
	Units       []choice
	Lanes       []choice
	Orders      []choice
	Between     string // lanes between the strings
	First, Last int
	Pass        draft.Pass // what was asked at the pass before is offered again
	States      []choice
}

// fileMethods lists the gauges that are not led from crown to crown: their readings
// come in a file.
func fileMethods() []text.Method {
	var all []text.Method
	for _, m := range reading.Methods() {
		if !m.Spec().Led {
			all = append(all, text.OfMethod(m))
		}
	}
	return all
}

// choice is one of several, Value being what the form sends.
type choice struct {
	Value, Words, Hint string
	On                 bool
}

func (s *Server) showPass(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	b := passBody{ID: k.ID(), ByFile: fileMethods(),
		Along:    reading.Named(" or ", func(m reading.Spec) bool { return m.SetUp == reading.OffsetTilt }),
		Turnable: reading.Named(" or ", func(m reading.Spec) bool { return m.Turned })}
	n := s.newest(r.Context(), k)
	k.Read(func(st *draft.State) {
		b.First, b.Last = st.Layout.FirstFret(), st.Layout.LastFret()
		b.Pass = openPass(st, s.nextPass(st), n)
		b.Offer = s.renderer.offer(st, b.Pass)
		b.fillLanes(st.Layout.Strings())
	})
	say := s.renderer.words.Say
	for _, m := range reading.Led() {
		g := text.OfMethod(m)
		b.Methods = append(b.Methods, choice{string(m), g.Name, g.Hint, string(m) == b.Pass.Method})
	}
	b.Units = s.renderer.unitChoices(b.Pass.Unit)
	for _, v := range []string{"", "slack", "rod set", "strung"} {
		b.States = append(b.States, choice{v, say("state." + strings.ReplaceAll(v, " ", "-")), "", v == b.Pass.State})
	}
	order := orderOf(b.Pass)
	b.Orders = []choice{{"along", say("pass.along"), "", order == "along"}, {"outer", say("pass.outer"), "", order == "outer"}, {"across", say("pass.across", b.Along), "", order == "across"}}
	return s.show(w, r, "pass", head{Neck: s.neckHead(k, "pass")}, b)
}

// unitChoices are the units that a gauge can show.
func (l *renderer) unitChoices(on string) (all []choice) {
	for _, u := range []string{"mm", "in"} {
		all = append(all, choice{u, l.words.Say("unit." + u), "", u == on})
	}
	return all
}

// ownUnit is the unit of the shop, or in which a neck file gives its scale.
func (s *Server) ownUnit(data []byte) string {
	if s.cfg.Inches || regexp.MustCompile(`(?m)^\s*(length|bass)\s*=\s*['"][^'"\n]*\d\s*(in|″)`).Match(data) {
		return "in"
	}
	return "mm"
}

func (s *Server) beginPass(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	p, err := s.passOf(r.PostForm)
	if err != nil {
		return err
	}
	number, err := k.Begin(p, screenOf(r.PostForm))
	if err != nil {
		return err
	}
	if !ofExample(k) {
		p.Date = s.today()
		if err := s.cfg.Folder.Remember(p); err != nil {
			s.log.Printf("the last choices are not remembered: %v", err)
		}
	}
	return redirect(w, r, "/necks/%s?pass=%d", k.ID(), number)
}

func (s *Server) today() string { return s.cfg.Now().UTC().Format(time.DateOnly) }

// passOf reads the form of a new pass.
func (s *Server) passOf(v url.Values) (draft.Pass, error) {
	text := func(key string) string { return strings.TrimSpace(v.Get(key)) }
	p := draft.Pass{
		Method: text("method"), Unit: text("unit"), Across: text("order") == "across", Turned: text("turned") != "",
		State: text("state"), By: text("by"), Gauge: text("gauge"), Temperature: text("temperature"), Humidity: text("humidity"),
	}
	wrong := func(key string) error {
		return refuse(http.StatusUnprocessableEntity, s.renderer.words.Say("pass.wrong", s.renderer.words.Say(key)))
	}
	var err error
	if p.From, err = strconv.Atoi(text("from")); err != nil {
		return p, wrong("pass.from")
	}
	if p.To, err = strconv.Atoi(text("to")); err != nil {
		return p, wrong("pass.to")
	}
	if p.Every, err = strconv.Atoi(text("every")); err != nil {
		return p, wrong("pass.every")
	}
	for _, l := range append(v["lane"], strings.Fields(strings.ReplaceAll(text("between"), ";", " "))...) {
		n, err := plainNumber(l)
		if err != nil {
			return p, wrong("pass.lanes")
		}
		lane, _ := strconv.ParseFloat(n, 64)
		if !slices.Contains(p.Lanes, lane) {
			p.Lanes = append(p.Lanes, lane)
		}
	}
	slices.Sort(p.Lanes)
	if text("order") == "outer" {
		p.Lanes = draft.OuterFirst(p.Lanes)
	}
	if p.U, err = number(text("u")); err != nil {
		return p, wrong("pass.u")
	}
	if p.Temperature, err = withUnit(p.Temperature, " C"); err != nil {
		return p, wrong("pass.temperature")
	}
	if p.Humidity, err = withUnit(p.Humidity, ""); err != nil {
		return p, wrong("pass.humidity")
	}
	if !slices.Contains(orders(reading.Method(p.Method)), "across") {
		p.Across = false
	}
	return p, nil
}

// number is a number as it is kept, or nothing.
func number(text string) (string, error) {
	if text == "" {
		return "", nil
	}
	return plainNumber(text)
}

// withUnit gives a bare number a unit; what has one stays as it is, but for a
// decimal comma.
func withUnit(text, ending string) (string, error) {
	if text == "" {
		return "", nil
	}
	if n, err := plainNumber(text); err == nil {
		return n + ending, nil
	}
	text = strings.Replace(text, ",", ".", 1)
	if _, err := unit.Temperature.Parse(text); ending != "" && err != nil {
		return "", err
	}
	return text, nil
}
