package bench

import (
	"slices"
	"strconv"
	"strings"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/reading"
	"ringtrue/internal/text"
	"ringtrue/internal/unit"
)

// offer is the pass that one tap begins: its words say all that it asks for.
type offer struct {
	Words, Rest string
	Fields      []choice // a form's hidden fields: the name in Words
}

// nextPass is the pass to offer: as this bench asked for the last one, on whatever
// neck; else as the neck's own last one; else the plain one.
func (s *Server) nextPass(st *draft.State) draft.Pass {
	if p, ok := s.cfg.Folder.Remembered(st, s.today()); ok {
		return p
	}
	p := st.Plain(string(reading.Beam), s.ownUnit(st.Data))
	if n := len(st.Passes); n > 0 {
		last := st.Passes[n-1]
		p.Method, p.Unit, p.By, p.Gauge, p.U = last.Method, last.Unit, last.By, last.Gauge, last.U
		if last.Stage == st.Stage() {
			p.State = last.State
		}
		if last.Date == s.today() {
			p.Temperature, p.Humidity = last.Temperature, last.Humidity
		}
	}
	return p
}

// openPass narrows a pass to the crowns that are still open, or else to those that
// would settle a doubt, where they make a plain rectangle of lanes and frets; else the
// pass stays whole. What is open is read at every fret: a pass that left some out must
// not be offered again and again.
func openPass(st *draft.State, p draft.Pass, n *analysis) draft.Pass {
	if n == nil || n.frets == nil || n.version != st.Version || n.stage != st.Stage() {
		return p
	}
	p.Every = 1
	var lanes []float64
	var frets []int
	for _, u := range n.frets.Undetermined {
		lanes, frets = append(lanes, u.Lane), append(frets, u.Fret)
	}
	if next := n.frets.NextReadings; len(frets) == 0 && len(n.frets.Recheck) == 0 && len(next) > 0 && next[0].Method == p.Method {
		lanes, frets = slices.Clone(next[0].Lanes), slices.Repeat(next[0].Frets, len(next[0].Lanes))
	}
	if len(frets) == 0 {
		return p
	}
	slices.Sort(lanes)
	lanes = slices.Compact(lanes)
	from, to := slices.Min(frets), slices.Max(frets)
	if len(lanes)*(to-from+1) != len(frets) {
		return p
	}
	return st.Narrowed(p, lanes, from, to)
}

// orderOf is a pass's order as the form has it.
func orderOf(p draft.Pass) string {
	switch {
	case p.Across:
		return "across"
	case !slices.IsSorted(p.Lanes):
		return "outer"
	}
	return "along"
}

// fillLanes ticks the pass's lanes, and names those between the strings.
func (b *passBody) fillLanes(all int) {
	for i := 1; i <= all; i++ {
		n := strconv.Itoa(i)
		b.Lanes = append(b.Lanes, choice{Value: n, Words: n, On: slices.Contains(b.Pass.Lanes, float64(i))})
	}
	for _, lane := range b.Pass.Lanes {
		if lane != float64(int(lane)) {
			b.Between = strings.TrimSpace(b.Between + " " + unit.Decimal(lane))
		}
	}
}

// offer words a pass, and lists what its form sends.
func (l *renderer) offer(st *draft.State, p draft.Pass) offer {
	say := l.words.Say
	name := text.OfMethod(reading.Method(p.Method)).Name
	lanes := slices.Sorted(slices.Values(p.Lanes))
	parts := []string{name, say("pass.all")}
	if plain := st.Plain(p.Method, p.Unit); !slices.Equal(lanes, plain.Lanes) {
		parts[1] = l.lanesSpan(lanes)
	}
	switch {
	case p.From != st.Layout.FirstFret() || p.To != st.Layout.LastFret():
		parts = append(parts, say("pass.fromto", p.From, p.To))
	case parts[1] != say("pass.all"):
		parts = append(parts, say("pass.allfrets"))
	}
	if p.Every > 1 {
		parts = append(parts, say("pass.everyth", p.Every))
	}
	o := offer{Words: say("pass.begin", strings.Join(append(parts, say("unit."+p.Unit)), ", "))}
	var rest []string
	order := orderOf(p)
	switch order {
	case "outer":
		rest = append(rest, say("pass.outershort"))
	case "across":
		rest = append(rest, say("pass.acrossshort"))
	}
	for _, f := range []struct{ key, value string }{{"state", p.State}, {"by", p.By}, {"gauge", p.Gauge}, {"temperature", p.Temperature}, {"humidity", p.Humidity}, {"u", p.U}} {
		if f.value == "" {
			continue
		}
		o.Fields = append(o.Fields, choice{Value: f.value, Words: f.key})
		rest = append(rest, say("pass."+f.key)+": "+f.value)
	}
	o.Rest = strings.Join(rest, " · ")
	for _, f := range [][2]string{{"method", p.Method}, {"unit", p.Unit}, {"order", order}, {"from", strconv.Itoa(p.From)}, {"to", strconv.Itoa(p.To)}, {"every", strconv.Itoa(p.Every)}} {
		o.Fields = append(o.Fields, choice{Value: f[1], Words: f[0]})
	}
	for _, lane := range lanes {
		o.Fields = append(o.Fields, choice{Value: unit.Decimal(lane), Words: "lane"})
	}
	return o
}

// lanesSpan names lanes, three or more side by side by the first and the last.
func (l *renderer) lanesSpan(lanes []float64) string {
	n := len(lanes) - 1
	for i, lane := range lanes {
		if lane != lanes[0]+float64(i) || n < 2 {
			return l.lanesNamed(lanes)
		}
	}
	return l.words.Say("pass.lanesto", unit.Decimal(lanes[0]), unit.Decimal(lanes[n]))
}
