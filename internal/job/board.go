package job

import (
	"fmt"
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
	Lanes        []BoardLane    `json:"lanes"`
	Arches       []BoardArch    `json:"arches"`
	Cone         *BoardCone     `json:"cone,omitempty"`
	Recheck      []Recheck      `json:"recheck"`
	Undetermined []Undetermined `json:"undetermined"`
	Advice       []string       `json:"advice"`
}

// BoardLane is a lane's straightness.
type BoardLane struct {
	Lane    float64     `json:"lane"`
	ZoneMM  float64     `json:"zone_mm"`
	UZoneMM float64     `json:"u_zone_mm"`
	Verdict string      `json:"verdict"`
	BowMM   float64     `json:"bow_mm"`
	Sand    []BoardSand `json:"sand"`
}

// BoardSand is the least to sand off behind a slot.
type BoardSand struct {
	Fret     int     `json:"fret"`
	RemoveMM float64 `json:"remove_mm"`
}

// BoardArch is the radius at a place; null where the gauge shows none, or where
// none is wanted.
type BoardArch struct {
	Fret     int      `json:"fret"`
	RadiusMM *float64 `json:"radius_mm"`
	UMM      float64  `json:"u_mm"`
	WantedMM *float64 `json:"wanted_mm"`
	Verdict  string   `json:"verdict"`
	MiddleMM float64  `json:"middle_proud_mm"`
}

// BoardCone is the cone through all arches: its radius at the nut and at the
// last fret.
type BoardCone struct {
	NutMM   float64 `json:"nut_mm"`
	UNutMM  float64 `json:"u_nut_mm"`
	LastMM  float64 `json:"last_fret_mm"`
	ULastMM float64 `json:"u_last_fret_mm"`
}

// Board judges a bare board from its readings.
func Board(m neck.Model, l *geometry.Layout, readings []reading.Reading) (*BoardAnswer, error) {
	b, err := board.Judge(m, l, readings)
	if err != nil {
		return nil, err
	}
	a := &BoardAnswer{Neck: m.Name, Verdict: string(b.Verdict), Lanes: []BoardLane{}, Arches: []BoardArch{},
		Recheck: []Recheck{}, Undetermined: []Undetermined{}, Advice: []string{}}
	for _, k := range b.Lanes {
		lane := BoardLane{Lane: k.Lane, ZoneMM: k.Judged.Zone.WidthMM, UZoneMM: k.Judged.UZoneMM,
			Verdict: string(k.Verdict), BowMM: k.Bow.MM, Sand: []BoardSand{}}
		for i, v := range k.SandMM {
			if v > 0 && k.Verdict != board.Straight {
				lane.Sand = append(lane.Sand, BoardSand{k.Frets[i], v})
			}
		}
		a.Lanes = append(a.Lanes, lane)
	}
	for _, k := range b.Arches {
		a.Arches = append(a.Arches, BoardArch{k.Fret, orNull(k.RadiusMM), k.UMM, orNull(k.WantedMM), string(k.Verdict), k.MiddleMM})
	}
	if c := b.Cone; c != nil {
		a.Cone = &BoardCone{c.NutMM, c.UNutMM, c.LastMM, c.ULastMM}
	}
	for _, k := range b.Misreads {
		r := readings[k.Reading]
		a.Recheck = append(a.Recheck, Recheck{k.Fret, k.Lane, k.ValueMM, k.ExpectedMM, k.Why, string(r.Method), r.Pass, r.Line})
	}
	for _, u := range b.Open {
		a.Undetermined = append(a.Undetermined, Undetermined{u.Fret, u.Lane, u.Why})
	}
	a.advise()
	return a, nil
}

func orNull(v float64) *float64 {
	if math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// advise says where to sand, and how much.
func (a *BoardAnswer) advise() {
	bowed := 0
	for _, l := range a.Lanes {
		if l.Verdict == string(board.NotStraight) && math.Abs(l.BowMM) > l.ZoneMM/2 {
			bowed++
		}
		most := BoardSand{}
		for _, s := range l.Sand {
			if s.RemoveMM > most.RemoveMM {
				most = s
			}
		}
		if most.RemoveMM > 0 {
			a.Advice = append(a.Advice, fmt.Sprintf("lane %g: sand as listed below, most behind slot %d, %.2f mm", l.Lane, most.Fret, most.RemoveMM))
		}
	}
	if bowed > len(a.Lanes)/2 {
		a.Advice = append([]string{"most of it is one bow: set the rod straight, or let the wood settle, and read again before sanding"}, a.Advice...)
	}
	for _, k := range a.Arches {
		switch {
		case k.Verdict != string(board.NotRound):
		case k.MiddleMM > 0:
			a.Advice = append(a.Advice, fmt.Sprintf("slot %d: rounder than wanted; sand the middle, %.2f mm", k.Fret, k.MiddleMM))
		default:
			a.Advice = append(a.Advice, fmt.Sprintf("slot %d: flatter than wanted; sand both edges, %.2f mm", k.Fret, -k.MiddleMM))
		}
	}
}

// AsAsked reports whether `board --check` is satisfied.
func (a *BoardAnswer) AsAsked() bool {
	return a.Verdict == string(board.Ready) && len(a.Recheck) == 0 && len(a.Undetermined) == 0
}
