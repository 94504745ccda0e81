package bench

import (
	"encoding/json"
	"net/url"
	"slices"
	"strconv"
	"sync"
	"time"

	"ringtrue/internal/bench/draft"
)

// line is what a gauge on a serial line did last, for the screens. Its zero value
// is a bench without one.
type line struct {
	mu      sync.Mutex
	port    string
	number  int    // of the last thing that it did, 0: there is none. It only grows, over a restart too
	state   string // how the port is
	gone    bool
	last    lineRead
	unsaved []unsaved
	moved   chan struct{} // closed when number grows
	keeping sync.RWMutex  // held from before a reading is kept until it is told
}

// lineRead is the last reading of the line, where it went and what came of it.
type lineRead struct {
	neck, name  string
	at          cursor
	said, alarm string
	typed, over string   // the question whether it may replace another: see overOf
	before      []string // what was asked of before it, and not answered
}

// unsaved is what came and was not kept.
type unsaved struct {
	Number int
	Words  string
}

// maxUnsaved is how many of those are shown.
const maxUnsaved = 8

// lineView is what a page shows of the line.
type lineView struct {
	Number  int
	State   string
	Gone    bool
	Unsaved []unsaved
}

// lineNews is what the script is told of the line.
type lineNews struct {
	Number int    `json:"n"`
	Read   bool   `json:"read,omitempty"` // it was a reading that was kept, or is asked of
	Said   string `json:"said,omitempty"`
	Alarm  string `json:"alarm,omitempty"`
	Typed  string `json:"typed,omitempty"` // the reading that is asked of, for the field
	Over   string `json:"over,omitempty"`
	Pass   int    `json:"pass,omitempty"` // where it is asked of
	At     string `json:"at,omitempty"`
}

// MarshalJSON escapes angle brackets: what a line said may hold anything.
func (n lineNews) MarshalJSON() ([]byte, error) {
	type plain lineNews
	return json.Marshal(plain(n))
}

func (l *line) begin(port string, now time.Time) {
	l.port, l.number, l.moved = port, int(now.UnixMilli()), make(chan struct{})
}

// on reports whether the bench has a gauge on a line.
func (l *line) on() bool { return l.port != "" }

// tell changes what is known of the line, and wakes the screens.
func (l *line) tell(change func()) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.number++
	change()
	close(l.moved)
	l.moved = make(chan struct{})
}

func (l *line) changed() <-chan struct{} {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.moved // nil, which never comes, where there is no line
}

// isNews reports whether the line did something since what a screen has heard.
func (l *line) isNews(q url.Values) bool {
	heard, err := strconv.Atoi(q.Get("gauge"))
	l.mu.Lock()
	defer l.mu.Unlock()
	return err == nil && heard != l.number
}

// settled waits for the end of a reading that is just being kept, so that a screen
// does not hear of the neck's change before it hears that it was the gauge.
func (l *line) settled() {
	l.keeping.RLock()
	defer l.keeping.RUnlock()
}

// leads reports whether a screen that waits for news goes where the gauge has led
// it: it is told so for the first time by n.
func (n *lineNews) leads(q url.Values, d lead) bool {
	return n != nil && q.Get("seen") != "0" && q.Get("gauge") != strconv.Itoa(n.Number) && d.number > 0 && d.screen != "" && d.screen == screenOf(q)
}

// answered notes that a screen of a neck was pressed: the gauge may no longer
// answer by the same reading what it was asked.
func (l *line) answered(neck string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.last.neck == neck {
		l.last.typed, l.last.over, l.last.before = "", "", nil
	}
}

// asks is what the gauge was last asked at a crown, if it has not been answered.
func (l *line) asks(neck string, at cursor) lineRead {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.last.neck != neck || l.last.at != at || l.last.over == "" {
		return lineRead{}
	}
	return l.last
}

// notSaved notes what was not kept. The caller is in tell.
func (l *line) notSaved(words string) {
	l.unsaved = append(l.unsaved, unsaved{l.number, words})
	l.unsaved = l.unsaved[max(0, len(l.unsaved)-maxUnsaved):]
}

func (l *line) view() lineView {
	l.mu.Lock()
	defer l.mu.Unlock()
	list := slices.Clone(l.unsaved)
	slices.Reverse(list) // the newest first
	return lineView{l.number, l.state, l.gone, list}
}

// news is what a screen of a neck is told.
func (l *line) news(neck string, words *renderer) *lineNews {
	l.mu.Lock()
	defer l.mu.Unlock()
	if !l.on() {
		return nil
	}
	r := l.last
	n := &lineNews{Number: l.number}
	switch last := len(l.unsaved) - 1; {
	case last >= 0 && l.unsaved[last].Number == l.number:
		n.Alarm = words.said(l.unsaved[last].Words)
		n.Said = n.Alarm
	case r.neck == neck:
		n.Read = true
		n.Said, n.Alarm = words.said(r.said), words.said(r.alarm)
		n.Typed, n.Over, n.Pass, n.At = r.typed, r.over, r.at.pass, string(r.at.at)
	case r.neck != "":
		n.Said = words.said(words.words.Say("line.elsewhere", r.name, r.said))
	}
	return n
}

// nameOf is what a neck is called.
func nameOf(k *draft.Neck) (name string) {
	k.Read(func(st *draft.State) {
		if name = st.Model.Name; st.Serial != "" {
			name += " " + st.Serial
		}
	})
	return name
}
