package findings

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"

	"ringtrue/internal/arrive"
	"ringtrue/internal/filing"
	"ringtrue/internal/level"
	"ringtrue/internal/num"
)

// Move is one move of a hand, as JSON has it.
type Move struct {
	Tool        string     `json:"tool"` // "file": one fret alone; "beam"
	Lanes       []float64  `json:"lanes"`
	FromFret    int        `json:"from_fret"` // all crowns under the tool at mid-stroke
	ToFret      int        `json:"to_fret"`
	PressAtFret int        `json:"press_at_fret,omitempty"` // where the hand begins
	LengthMM    float64    `json:"tool_length_mm,omitempty"`
	Rests       []int      `json:"rests,omitempty"` // frets to rest the neck at, two
	Until       []MoveFlat `json:"until"`           // done when these show
	KeepInk     []int      `json:"keep_ink"`        // frets under it that stay untouched
	Minutes     float64    `json:"minutes"`
	// Strokes is about how many strokes it takes, all lanes together: for the time
	// it takes, never for when to stop. StrokesRange holds nine in ten, known where
	// the book knows the hand.
	Strokes      num.Opt   `json:"strokes,omitzero"`
	StrokesRange []float64 `json:"strokes_range,omitempty"`
}

// Works reports whether a move takes metal off a fret.
func (m Move) Works(fret int) bool {
	return m.FromFret <= fret && fret <= m.ToFret && !slices.Contains(m.KeepInk, fret)
}

// MoveFlat is a flat that ends a move.
type MoveFlat struct {
	Fret   int     `json:"fret"`
	Lane   float64 `json:"lane"`
	FlatMM float64 `json:"flat_mm"`
}

// Tools.
const (
	File = "file"
	Beam = "beam"
)

// Frets names the frets of a move: 7, or 10-22.
func (m Move) Frets() string {
	if m.FromFret == m.ToFret {
		return fmt.Sprint(m.FromFret)
	}
	return fmt.Sprintf("%d-%d", m.FromFret, m.ToFret)
}

// moveDraws is how many hands are drawn for each way of working.
const moveDraws = 100

// narrower are the zones that are tried for hands, as parts of the one found for a
// hand true to every crown.
func narrower() []float64 { return []float64{1, 0.75, 0.5} }

// carry turns a plan into moves for hands: of the plan and those to narrower zones
// the moves that arrive in the fewest minutes, and the plan they follow. No moves
// where none arrives more often than not.
func (w *worker) carry(ctx context.Context, p arrive.Plan) (arrive.Plan, filing.Choice, error) {
	lanes, at := w.bench()
	plans, jobs := []arrive.Plan{p}, []filing.Job{w.job(lanes, at, p)}
	if w.PlanToMM == 0 && !w.Fair {
		for _, part := range narrower()[1:] {
			narrow := w.narrowed(p, part)
			plans, jobs = append(plans, narrow), append(jobs, w.job(lanes, at, narrow))
		}
	}
	levels := make([]func(int, [][]float64) bool, len(plans))
	for i := range plans {
		levels[i] = w.outlook.Carried(plans[i].Metal)
	}
	h, shop := w.handOf(lanes), w.shop()
	tools := toolsOf(shop, lanes, &h)
	scatter := w.scatter()
	scatter.SagMM = tools.StraightMM
	c, err := filing.Choose(ctx, jobs, filing.Ask{
		Hand: h, Scatter: scatter, Tools: tools, Minutes: w.minutes(), Draws: moveDraws, Seed: workSeed,
		Errors: func(draw int) [][]float64 { return w.before(draw, at) },
		Level:  func(plan, draw int, taken [][]float64) bool { return levels[plan](draw, w.spread(taken, at)) },
	})
	if err != nil {
		return p, c, fmt.Errorf("looking for moves: %w", err)
	}
	if c.Chance < minChance {
		w.work.Lack = jobs[0].Lack(&tools)
		return p, filing.Choice{}, nil
	}
	if face := jobs[0].FaceMM(&c.Moves, tools.StraightMM); face > w.n.Model.Level.Zone/3 {
		w.work.FaceMM = face
	}
	return plans[c.Plan], c, nil
}

// strayed is a plan that moves carry out, which end so far from it.
func (w *worker) strayed(p level.Plan, strayMM [][]float64) level.Plan {
	_, at := w.bench()
	p.Lanes = slices.Clone(p.Lanes)
	for a, stray := range w.spread(strayMM, at) {
		p.Lanes[a].StrayMM = stray
	}
	return p
}

// restMM is the most metal off a lane's crowns for which hands leave it alone.
const restMM = 0.003

// narrowed is a plan to a part of its zone in the lanes that lose metal; where they
// hardly do, nobody has to work.
func (w *worker) narrowed(p arrive.Plan, part float64) arrive.Plan {
	n := w.outlook.To(part * p.ToMM)
	n.Metal.TotalMM, n.Metal.MaxMM = 0, 0
	for a := range n.Metal.Lanes {
		if l := p.Metal.Lanes[a]; l.MaxMM < restMM {
			n.Metal.Lanes[a], n.ToMM = l, p.ToMM
		}
		n.Metal.TotalMM += n.Metal.Lanes[a].TotalMM
		n.Metal.MaxMM = max(n.Metal.MaxMM, n.Metal.Lanes[a].MaxMM)
	}
	return n
}

// bench are the lanes that a beam is laid along, and where each crown stands in the
// lanes as given; nil where a lane has fewer than three to work on. Frets that are
// seen to first lie under the beam too: in line with the others, as a press leaves
// them.
func (w *worker) bench() (lanes []level.Lane, at [][]int) {
	at = make([][]int, len(w.lanes))
	for a, l := range w.lanes {
		var x, d []float64
		var places []int
		for i, f := range l.Frets {
			if places = append(places, i); !slices.Contains(w.out, f) {
				x, d = append(x, l.X[i]), append(d, l.D[i])
			}
		}
		if len(x) < 3 {
			continue
		}
		l.D = slices.Clone(l.D)
		for i, f := range l.Frets {
			if slices.Contains(w.out, f) {
				l.D[i] = level.InLine(x, d, l.X[i])
			}
		}
		lanes, at[a] = append(lanes, l), places
	}
	return lanes, at
}

func (w *worker) job(lanes []level.Lane, at [][]int, p arrive.Plan) filing.Job {
	remove := make([][]float64, len(w.lanes))
	for a := range w.lanes {
		remove[a] = p.Metal.Lanes[a].RemoveMM
	}
	j := filing.Job{Lanes: lanes, RemoveMM: picked(remove, at), LimitMM: w.n.Model.Level.Zone, Pressed: w.out}
	next := 0
	for a := range at {
		if at[a] == nil {
			continue
		}
		l := &lanes[next]
		j.StandMM = append(j.StandMM, w.n.Layout.UnderBeam(l.Lane, l.Frets))
		for i, f := range l.Frets {
			if slices.Contains(w.out, f) && p.Metal.Lanes[a].TotalMM > 0 {
				j.RemoveMM[next][i] = max(0, l.D[i]-p.Metal.Lanes[a].Target.At(l.X[i]))
			}
		}
		next++
	}
	return j
}

// pressMM is how far from the line a press leaves a fret, a standard deviation. From
// memory.
const pressMM = 0.005

// before are errors of the readings before in one draw; of frets seen to first,
// what the press leaves.
func (w *worker) before(draw int, at [][]int) [][]float64 {
	errors := picked(w.outlook.Before(draw), at)
	if len(w.out) == 0 {
		return errors
	}
	r, next := rand.New(rand.NewPCG(workSeed, uint64(draw))), 0
	for a := range at {
		if at[a] == nil {
			continue
		}
		for i, f := range w.lanes[a].Frets {
			if slices.Contains(w.out, f) {
				errors[next][i] = pressMM * r.NormFloat64()
			}
		}
		next++
	}
	return errors
}

// picked are the crowns that a beam is laid on, of all.
func picked(all [][]float64, at [][]int) (out [][]float64) {
	for a, places := range at {
		if places == nil {
			continue
		}
		lane := make([]float64, len(places))
		for k, i := range places {
			lane[k] = all[a][i]
		}
		out = append(out, lane)
	}
	return out
}

// spread puts what came off these crowns back among all.
func (w *worker) spread(taken [][]float64, at [][]int) [][]float64 {
	out, next := make([][]float64, len(w.lanes)), 0
	for a, places := range at {
		out[a] = make([]float64, len(w.lanes[a].X))
		if places == nil {
			continue
		}
		for k, i := range places {
			out[a][i] = taken[next][k]
		}
		next++
	}
	return out
}

// handOf is a usual hand at this neck's wire; a fanned beam works a strip as wide
// as the lanes lie apart at the middle of the neck.
func (w *worker) handOf(lanes []level.Lane) filing.Hand {
	l, apart := w.n.Layout, 8.0
	if n := len(lanes); n > 1 {
		middle := lanes[0].Frets[len(lanes[0].Frets)/2]
		apart = (l.At(middle, lanes[0].Lane).Y - l.At(middle, lanes[n-1].Lane).Y) / float64(n-1)
	}
	return w.learned(filing.Usual(w.n.Model.Wire.Crown(), max(apart, -apart)))
}

// moved writes moves down.
func (w *worker) moved(c filing.Choice) []Move {
	lanes, _ := w.bench()
	out, force, spotMinutes := []Move{}, w.handOf(lanes).ForceN, w.minutes().Spot
	for _, s := range c.Moves.Spots {
		m := Move{Tool: File, FromFret: s.Fret, ToFret: s.Fret, KeepInk: []int{}, Minutes: spotMinutes}
		w.fileStrokes(&m, s, lanes)
		for _, f := range slices.Compact([]filing.Flat{s.Flats[0], s.Flats[len(s.Flats)-1]}) {
			m.Lanes = append(m.Lanes, lanes[f.Lane].Lane)
			m.Until = append(m.Until, MoveFlat{f.Fret, lanes[f.Lane].Lane, f.WidthMM})
		}
		out = append(out, m)
	}
	for _, r := range c.Moves.Runs {
		m := Move{Tool: Beam, FromFret: r.FirstFret, ToFret: r.LastFret, PressAtFret: r.PressFret, LengthMM: r.LengthMM, Rests: w.rests(&r, force), KeepInk: append([]int{}, r.Ink...), Minutes: r.Minutes}
		w.beamStrokes(&m, r)
		for _, l := range r.Lanes {
			m.Lanes = append(m.Lanes, lanes[l.Lane].Lane)
			for _, f := range l.Tells {
				m.Until = append(m.Until, MoveFlat{f.Fret, lanes[l.Lane].Lane, f.WidthMM})
			}
		}
		out = append(out, m)
	}
	return out
}
