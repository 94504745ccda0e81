package bench

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"
	"sync"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/plausible"
	"ringtrue/internal/reading"
	"ringtrue/internal/unit"
)

// question is a reading of the stage in work that does not look right beside
// the others. It stays until a second try agrees, another takes its place, or
// the maker keeps it.
type question struct {
	Pass  int
	Site  draft.Site
	taken int // the version at which it was taken
	words string
	Short string
	Href  string
	Keep  string // what the button that keeps it sends
	moved bool   // it is of all that follow too
}

// questions are what a neck's readings leave to ask, the newest first. They are
// worked out at once, not with what the readings mean: the gauge is still there.
type questions struct {
	mu    sync.Mutex
	known map[string]asked // by neck
}

type asked struct {
	version int
	list    []question
}

// asked gives a neck's open questions. They are kept until it changes.
func (s *Server) asked(k *draft.Neck) []question {
	var list []question
	k.Read(func(st *draft.State) { list = s.askedOf(st) })
	return list
}

func (s *Server) askedOf(st *draft.State) []question {
	q := &s.questions
	q.mu.Lock()
	defer q.mu.Unlock()
	if a, ok := q.known[st.ID]; ok && a.version == st.Version {
		return a.list
	}
	if q.known == nil || len(q.known) >= maxJobs {
		q.known = map[string]asked{}
	}
	a := asked{st.Version, s.renderer.questions(st)}
	q.known[st.ID] = a
	return a.list
}

// questions asks package plausible of the stage's readings in order of taking.
func (l *renderer) questions(st *draft.State) []question {
	readings, places := st.Taken(st.Stage())
	if len(readings) == 0 {
		return nil
	}
	from := func(r reading.Reading) draft.Place { return places[r.Line-2] }
	sort.SliceStable(readings, func(i, j int) bool { return from(readings[i]).Taken < from(readings[j]).Taken })
	var out []question
	for _, o := range plausible.Of(st.Layout, st.Model, readings).Odd() {
		at := from(readings[o.Reading])
		if st.Pass(at.Pass) == nil {
			continue // of a file: it is among the readings to take again
		}
		q := question{Pass: at.Pass, Site: at.Site, taken: at.Taken, Href: readHref(st.ID, at.Pass, at.Site), Keep: standsOf(at.Pass, at.Site), moved: o.Moved}
		q.words, q.Short = l.ask(o, readings, st.Entry(at.Pass, at.Site))
		q.words, q.Short = l.asTyped(q.words), l.asTyped(q.Short)
		out = append(out, q)
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].taken > out[j].taken })
	return out
}

// ask puts a question into words: whole, and short. What was expected is a guess of
// the moment, so it has no more digits than it is good for.
func (l *renderer) ask(o plausible.Odd, readings []reading.Reading, e *draft.Entry) (whole, short string) {
	say, lane, u := l.words.Say, unit.Decimal(o.Lane), e.Unit
	expected := unit.Decimal(sizeIn(u, o.ExpectedMM, 2))
	short = say("ask.short", o.Fret, lane, e.Said(), expected, u)
	switch {
	case o.Moved:
		return say("ask.moved", o.Fret, lane, fmt.Sprintf("%+g", sizeIn(u, o.ValueMM-o.ExpectedMM, 2)), u), say("ask.movedshort", o.Fret, lane)
	case len(o.Either) > 0:
		r := readings[o.Either[len(o.Either)-1]]
		if r.Lane != o.Lane {
			return say("ask.lanes", o.Fret, lane, e.Said(), expected, u, unit.Decimal(r.Lane)), short
		}
		return say("ask.either", o.Fret, lane, e.Said(), fretOf(r), unit.Decimal(sizeIn(u, r.Value, 3)), u), say("ask.eithershort", o.Fret, lane, e.Said(), fretOf(r))
	}
	return say("ask.one", o.Fret, lane, e.Said(), expected, u), short
}

func fretOf(r reading.Reading) int { return r.Frets[len(r.Frets)/2] }

// sizeIn is a size in mm rounded to so many digits, or in inches to one more.
func sizeIn(unitName string, mm float64, digits int) float64 {
	if unitName == "in" {
		mm, digits = mm/unit.MMPerInch, digits+1
	}
	p := math.Pow10(digits)
	return math.Round(mm*p)/p + 0
}

// stands is how a form says which reading is kept.
const stands = "stands"

func standsOf(pass int, at draft.Site) string {
	return stands + " " + strconv.Itoa(pass) + " " + string(at)
}

// stood reads what standsOf writes.
func stood(do string) (pass int, at draft.Site, ok bool) {
	parts := strings.Split(do, " ")
	if len(parts) != 3 || parts[0] != stands {
		return 0, "", false
	}
	pass, err := strconv.Atoi(parts[1])
	if err != nil {
		return 0, "", false
	}
	at, err = draft.ParseSite(parts[2])
	return pass, at, err == nil
}

// stand keeps a reading that was asked of.
func (s *Server) stand(k *draft.Neck, p press, pass int, at draft.Site) (pressed, error) {
	if _, err := k.Stand(pass, at, p.seen, p.screen); err != nil {
		return pressed{}, err
	}
	said := ""
	k.Read(func(st *draft.State) {
		if e := st.Entry(pass, at); e != nil {
			said = s.renderer.asTyped(e.Said())
		}
	})
	return pressed{at: p.at, said: s.renderer.words.Say("read.stoodnow", said, at.Named(), unit.Decimal(at.Lane())), keep: p.typed != ""}, nil
}

// entered is Enter on an empty field. It answers no question: a key that bounced
// must not make a misread stand.
func (s *Server) entered(k *draft.Neck, p press) pressed {
	if len(s.asked(k)) > 0 {
		return pressed{at: p.at, said: s.renderer.words.Say("read.emptyasked")}
	}
	return pressed{at: p.at, said: s.renderer.words.Say("read.empty")}
}

// again reports whether what is typed is a second try at a reading that is
// asked of, and agrees with it.
func (s *Server) again(k *draft.Neck, put draft.Put) bool {
	asked, n, agree := s.asked(k), s.analyst.latest(k), false
	doubted := slices.ContainsFunc(asked, func(q question) bool { return q.Pass == put.Pass && q.Site == put.Site })
	k.Read(func(st *draft.State) {
		at := s.renderer.standing(st, n, asked).at
		doubted = doubted || at.Pass == put.Pass && at.Site == put.Site
	})
	if !doubted {
		return false
	}
	k.Read(func(st *draft.State) {
		if e := st.Entry(put.Pass, put.Site); e != nil && !e.Misread {
			p := st.Pass(put.Pass)
			first, err1 := st.Reading(p, put.Site, e)
			second, err2 := st.Reading(p, put.Site, &draft.Entry{Reading: put.Reading, NoGo: put.NoGo, Unit: put.Unit})
			agree = err1 == nil && err2 == nil && plausible.Agree(first, second)
		}
	})
	return agree
}

// alarmOf is the question that the last press raised: of the reading just kept,
// or of an earlier one that it showed to be odd.
func alarmOf(before, now []question, kept draft.Site, pass int) string {
	for _, q := range now {
		if q.Pass == pass && q.Site == kept || !slices.ContainsFunc(before, q.same) {
			return q.words
		}
	}
	return ""
}

func (q question) same(o question) bool {
	return o.Pass == q.Pass && o.Site == q.Site && o.moved == q.moved
}
