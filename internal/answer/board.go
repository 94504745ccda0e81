package answer

import (
	"math"

	"ringtrue/internal/board"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

// BoardAnswer is what `board` says of a bare board.
type BoardAnswer struct {
	Neck         string         `json:"neck"`
	Verdict      string         `json:"verdict"` // "ready", "not ready", "in doubt"
	OffChance    float64        `json:"off_chance"`
	FlatMM       float64        `json:"flat_limit_mm"`
	WithinMM     float64        `json:"radius_within_mm"`
	Lanes        []BoardLane    `json:"lanes"`
	Arches       []BoardArch    `json:"arches"`
	Cone         *BoardCone     `json:"cone,omitempty"`
	Twist        *BoardTwist    `json:"twist,omitempty"`
	Findings     []BoardFinding `json:"neck_findings"`
	Recheck      []Recheck      `json:"recheck"`
	Passes       []BoardPass    `json:"passes"`
	Undetermined []Undetermined `json:"undetermined"`
	Unread       []BoardUnread  `json:"unread"`
	NextReadings []BoardNext    `json:"next_readings"`
	Sanding      *BoardSanding  `json:"sanding"` // null where nothing should be sanded now
	Advice       []string       `json:"advice"`
}

// BoardLane is a lane's straightness.
type BoardLane struct {
	Lane        float64     `json:"lane"`
	ZoneMM      float64     `json:"zone_mm"`
	UZoneMM     float64     `json:"u_zone_mm"`
	ZoneRangeMM *[2]float64 `json:"zone_range_mm,omitempty"` // what feeler gaps allow
	Verdict     string      `json:"verdict"`
	BowMM       float64     `json:"bow_mm"`
	Sand        []BoardSand `json:"sand"`
}

// BoardSand is the least to sand off behind a slot.
type BoardSand struct {
	Fret     int     `json:"fret"`
	RemoveMM float64 `json:"remove_mm"`
}

// BoardArch is the radius at a place; null where the gauge shows none, or where
// none is wanted. ConeMM is that of all readings across together.
type BoardArch struct {
	Fret     int      `json:"fret"`
	RadiusMM *float64 `json:"radius_mm"`
	UMM      float64  `json:"u_mm"`
	WantedMM *float64 `json:"wanted_mm"`
	Verdict  string   `json:"verdict"`
	MiddleMM float64  `json:"middle_proud_mm"`
	ConeMM   *float64 `json:"cone_mm"`
	UConeMM  float64  `json:"u_cone_mm"`
}

// BoardCone is the cone through all readings across: its radius at the nut, at
// the last fret, and at the first and the last slot read.
type BoardCone struct {
	NutMM        float64 `json:"nut_mm"`
	UNutMM       float64 `json:"u_nut_mm"`
	LastMM       float64 `json:"last_fret_mm"`
	ULastMM      float64 `json:"u_last_fret_mm"`
	FromFret     int     `json:"from_fret"`
	FromMM       float64 `json:"from_mm"`
	UFromMM      float64 `json:"u_from_mm"`
	ToFret       int     `json:"to_fret"`
	ToMM         float64 `json:"to_mm"`
	UToMM        float64 `json:"u_to_mm"`
	FromWantedMM float64 `json:"from_wanted_mm"`
	ToWantedMM   float64 `json:"to_wanted_mm"`
}

// BoardTwist is how far the last slot is turned against the first over the
// spread of the outer lanes, treble side up positive.
type BoardTwist struct {
	MM  float64 `json:"twist_mm"`
	UMM float64 `json:"u_mm"`
}

// BoardFinding is something true of the board over several slots. Kind is one of
// hump, dip, rise, bow, twist, radius.
type BoardFinding struct {
	Kind    string    `json:"kind"`
	Frets   []int     `json:"frets"`
	Lanes   []float64 `json:"lanes"`
	DepthMM float64   `json:"depth_mm"`
	UMM     float64   `json:"u_mm"`
	Finding string    `json:"finding"`
}

// BoardPass is what is wrong with a whole pass.
type BoardPass struct {
	Pass     string  `json:"pass"`
	Lane     float64 `json:"lane"`
	Method   string  `json:"method"`
	Finding  string  `json:"finding"` // "knocked"
	FromFret int     `json:"from_fret"`
	StepMM   float64 `json:"step_mm"`
	Why      string  `json:"why"`
}

// BoardUnread is a part of the board that no reading tells of.
type BoardUnread struct {
	Across   bool      `json:"across"`
	Lanes    []float64 `json:"lanes"`
	FromFret int       `json:"from_fret"`
	ToFret   int       `json:"to_fret"`
}

// BoardNext is a reading worth taking next.
type BoardNext struct {
	Method string    `json:"method"`
	Lanes  []float64 `json:"lanes"`
	Frets  []int     `json:"frets"`
	Why    string    `json:"why"`
}

// BoardSanding is the least sanding that leaves the board one cone.
type BoardSanding struct {
	PlannedToMM float64         `json:"planned_to_mm"`
	MaxMM       float64         `json:"max_remove_mm"`
	NutMM       *float64        `json:"radius_nut_mm"`
	LastMM      *float64        `json:"radius_last_fret_mm"`
	Tied        bool            `json:"lanes_tied"`
	Lanes       []BoardSandLane `json:"lanes"`
}

// BoardSandLane is what to sand off along a lane. Read is false where the board
// there is taken to run on smoothly between lanes that were read.
type BoardSandLane struct {
	Lane float64     `json:"lane"`
	Read bool        `json:"read"`
	Sand []BoardSand `json:"sand"`
}

// Board judges a bare board from its readings.
func Board(m neck.Model, l *geometry.Layout, readings []reading.Reading) (*BoardAnswer, error) {
	b, err := board.Judge(m, l, readings)
	if err != nil {
		return nil, err
	}
	a := &BoardAnswer{Neck: m.Name, Verdict: string(b.Verdict), OffChance: b.OffChance, FlatMM: m.Board.Flat, WithinMM: m.Board.RadiusWithin,
		Lanes: []BoardLane{}, Arches: []BoardArch{}, Findings: []BoardFinding{}, Recheck: []Recheck{}, Passes: []BoardPass{},
		Undetermined: []Undetermined{}, Unread: []BoardUnread{}, NextReadings: []BoardNext{}, Advice: []string{}}
	a.fillLanes(b)
	a.fillAcross(b, l)
	a.fillDoubts(b, readings)
	a.fillSanding(b)
	w := boardWords{m: m, l: l}
	for _, f := range b.Findings {
		a.Findings = append(a.Findings, BoardFinding{string(f.Kind), f.Frets, lanesOrNone(f.Lanes), f.DepthMM, f.UMM, w.finding(f)})
	}
	for _, n := range b.Next {
		a.NextReadings = append(a.NextReadings, BoardNext{string(n.Method), lanesOrNone(n.Lanes), fretsOrNone(n.Frets), w.next(n)})
	}
	a.Advice = w.advice(b, a)
	return a, nil
}

func (a *BoardAnswer) fillLanes(b *board.Answer) {
	for _, k := range b.Lanes {
		lane := BoardLane{Lane: k.Lane, ZoneMM: k.ZoneMM, UZoneMM: k.UZoneMM, ZoneRangeMM: k.RangeMM,
			Verdict: string(k.Verdict), BowMM: k.BowMM, Sand: []BoardSand{}}
		if k.SandMM != nil {
			lane.Sand = sandOf(k.Frets, k.SandMM)
		}
		a.Lanes = append(a.Lanes, lane)
	}
}

func (a *BoardAnswer) fillAcross(b *board.Answer, l *geometry.Layout) {
	for _, k := range b.Arches {
		arch := BoardArch{k.Fret, orNull(k.RadiusMM), k.UMM, orNull(k.WantedMM), string(k.Verdict), k.MiddleMM, nil, k.UConeMM}
		if k.ConeMM > 0 {
			arch.ConeMM = orNull(k.ConeMM)
		}
		a.Arches = append(a.Arches, arch)
	}
	if c := b.Cone; c != nil && !math.IsInf(c.NutMM, 1) {
		a.Cone = &BoardCone{c.NutMM, c.UNutMM, c.LastMM, c.ULastMM, c.FromFret, c.FromMM, c.UFromMM, c.ToFret, c.ToMM, c.UToMM,
			l.Radius(l.CentreX(c.FromFret)), l.Radius(l.CentreX(c.ToFret))}
	}
	if t := b.Twist; t != nil {
		a.Twist = &BoardTwist{t.MM, t.UMM}
	}
}

func (a *BoardAnswer) fillDoubts(b *board.Answer, readings []reading.Reading) {
	for _, k := range b.Misreads {
		r := readings[k.Reading]
		a.Recheck = append(a.Recheck, Recheck{k.Fret, k.Lane, k.ValueMM, k.ExpectedMM, k.Why, string(r.Method), r.Pass, r.Line})
	}
	for _, k := range b.Knocked {
		a.Passes = append(a.Passes, BoardPass{k.Pass, k.Lane, string(k.Method), "knocked", k.FromFret, k.StepMM, knockedWhy(k)})
	}
	for _, u := range b.Open {
		a.Undetermined = append(a.Undetermined, Undetermined{Fret: u.Fret, Lane: u.Lane, Why: u.Why})
	}
	for _, u := range b.Unread {
		a.Unread = append(a.Unread, BoardUnread{u.Across, lanesOrNone(u.Lanes), u.FromFret, u.ToFret})
	}
}

func (a *BoardAnswer) fillSanding(b *board.Answer) {
	if b.Sanding == nil {
		return
	}
	s := b.Sanding
	a.Sanding = &BoardSanding{s.PlannedToMM, s.MostMM, orNull(s.NutMM), orNull(s.LastMM), s.Tied, []BoardSandLane{}}
	for _, k := range s.Lanes {
		a.Sanding.Lanes = append(a.Sanding.Lanes, BoardSandLane{k.Lane, k.Read, sandOf(k.Frets, k.RemoveMM)})
	}
}

// sandOf lists the slots of a lane where something comes off.
func sandOf(frets []int, mm []float64) []BoardSand {
	out := []BoardSand{}
	for i, v := range mm {
		if v > 0 {
			out = append(out, BoardSand{frets[i], v})
		}
	}
	return out
}

func orNull(v float64) *float64 {
	if math.IsInf(v, 0) {
		return nil
	}
	return &v
}

func lanesOrNone(v []float64) []float64 {
	if v == nil {
		return []float64{}
	}
	return v
}

func fretsOrNone(v []int) []int {
	if v == nil {
		return []int{}
	}
	return v
}

// AsAsked reports whether `board --check` is satisfied.
func (a *BoardAnswer) AsAsked() bool {
	return a.Verdict == string(board.Ready) && len(a.Recheck) == 0 && len(a.Undetermined) == 0
}
