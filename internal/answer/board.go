package answer

import (
	"ringtrue/internal/board"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
	"ringtrue/internal/text"
)

// BoardAnswer is what `board` says of a bare board.
type BoardAnswer struct {
	Neck         string         `json:"neck"`
	Verdict      board.Verdict  `json:"verdict"` // "ready", "not ready", "in doubt"
	OffChance    float64        `json:"off_chance"`
	FlatMM       float64        `json:"flat_limit_mm"`
	WithinMM     float64        `json:"radius_within_mm"`
	Lanes        []board.Lane   `json:"lanes"`
	Arches       []board.Arch   `json:"arches"`
	Cone         *board.Cone    `json:"cone,omitempty"`
	Twist        *board.Twist   `json:"twist,omitempty"`
	Findings     []BoardFinding `json:"neck_findings"`
	Recheck      []Recheck      `json:"recheck"`
	Passes       []BoardPass    `json:"passes"`
	Undetermined []Undetermined `json:"undetermined"`
	Unread       []board.Unread `json:"unread"`
	NextReadings []BoardNext    `json:"next_readings"`
	Sanding      *board.Sanding `json:"sanding"` // null where nothing should be sanded now
	Advice       []string       `json:"advice"`
}

// BoardFinding is something true of the board over several slots.
type BoardFinding struct {
	board.Finding
	Words string `json:"finding"`
}

// BoardPass is what is wrong with a whole pass.
type BoardPass struct {
	board.Knocked
	Why string `json:"why"`
}

// BoardNext is a reading worth taking next.
type BoardNext struct {
	board.Next
	Words string `json:"why"`
}

// Board judges a bare board from its readings.
func Board(m neck.Model, l *geometry.Layout, readings []reading.Reading) (*BoardAnswer, error) {
	b, err := board.Judge(m, l, readings)
	if err != nil {
		return nil, err
	}
	a := &BoardAnswer{Neck: m.Name, Verdict: b.Verdict, OffChance: b.OffChance, FlatMM: m.Board.Flat, WithinMM: m.Board.RadiusWithin,
		Lanes: b.Lanes, Arches: b.Arches, Cone: b.Cone, Twist: b.Twist, Findings: []BoardFinding{}, Recheck: []Recheck{}, Passes: []BoardPass{},
		Undetermined: []Undetermined{}, Unread: b.Unread, NextReadings: []BoardNext{}, Sanding: b.Sanding, Advice: []string{}}
	for _, f := range b.Findings {
		a.Findings = append(a.Findings, BoardFinding{f, text.BoardFinding(f)})
	}
	for _, k := range b.Misreads {
		r := readings[k.Reading]
		a.Recheck = append(a.Recheck, Recheck{k.Fret, k.Lane, k.ValueMM, k.ExpectedMM, text.BoardMisread(k), string(r.Method), r.Pass, r.Line})
	}
	for _, k := range b.Knocked {
		a.Passes = append(a.Passes, BoardPass{k, text.BoardKnocked(k)})
	}
	for _, u := range b.Open {
		a.Undetermined = append(a.Undetermined, Undetermined{Fret: u.Fret, Lane: u.Lane, Why: text.BoardOpen(u.Why)})
	}
	if b.Verdict == board.NotReady {
		a.Advice = text.BoardWork(b)
	}
	for _, n := range b.Next {
		next := BoardNext{n, text.BoardNext(n, m.Board.RadiusWithin)}
		a.NextReadings, a.Advice = append(a.NextReadings, next), append(a.Advice, next.Words)
	}
	return a, nil
}

// Passed reports whether `board --check` is satisfied.
func (a *BoardAnswer) Passed() bool {
	return a.Verdict == board.Ready && len(a.Recheck) == 0 && len(a.Undetermined) == 0
}
