package answer

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"ringtrue/internal/findings"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
	"ringtrue/internal/readplan"
	"ringtrue/internal/straight"
	"ringtrue/internal/text"
)

// ErrGauge says that a plan of what to read cannot be made for a gauge.
var ErrGauge = errors.New("no gauge to plan for")

// PlanGauges are the gauges that a plan of what to read can be made for.
func PlanGauges() []reading.Method {
	return slices.DeleteFunc(reading.AlongLane(), func(m reading.Method) bool { return m.Spec().SetUp == reading.Frame })
}

// WhatToReadRequest asks what to read of a neck before the first reading.
type WhatToReadRequest struct {
	Model  neck.Model
	Layout *geometry.Layout
	Gauge  reading.Method // one of PlanGauges
	UMM    float64        // standard uncertainty of one reading; 0: as usual for the gauge
	Shop   readplan.Shop  // how this shop's frets lie
	Times  readplan.Times // 0: the usual times
	Level  int            // how many level necks the plan is tried on; 0: enough for a figure
}

// WhatToReadAnswer is a plan of what to read, and how it does.
type WhatToReadAnswer struct {
	Neck        string     `json:"neck"`
	ZoneLimitMM float64    `json:"zone_limit_mm"`
	Gauge       string     `json:"gauge"`
	UMM         float64    `json:"u_mm"`
	Steps       []ReadStep `json:"steps"`
	Stop        string     `json:"stop"`
	// AllReadings is how many readings take every crown once; Readings and Minutes
	// the mean for a level neck until it is called level.
	AllReadings int            `json:"all_readings"`
	Readings    float64        `json:"readings"`
	Minutes     float64        `json:"minutes"`
	Tried       readplan.Tried `json:"tried"` // on necks drawn at random
	Shop        readplan.Shop  `json:"shop"`  // as it is taken to be
	Warnings    []string       `json:"warnings"`
}

// ReadStep is one step of the plan.
type ReadStep struct {
	Sets     []ReadSet `json:"sets"`
	Readings int       `json:"readings"`
	Minutes  float64   `json:"minutes"`
	Why      string    `json:"why"`
	Stop     string    `json:"stop"`
}

// ReadSet is what a step reads with one gauge.
type ReadSet struct {
	Method string    `json:"method"`
	Lanes  []float64 `json:"lanes"`
	Frets  []int     `json:"frets"`
	Passes int       `json:"passes"`
}

// How long a plan is tried: on so many level necks, and so many others.
const (
	triedLevel  = 40
	triedThrees = 12 // by a gauge of three frets, of which each estimate takes far longer
	triedOthers = 60
	planSeed    = 640
)

// Where fewer of the shop's necks than this are level as they come, the plan is for
// necks that are filed level: their frets scatter by this part of the limit.
const (
	fewLevel  = 0.05
	filedPart = 0.1
)

// WhatToRead plans the first readings of a neck and tries the plan on necks as the
// shop makes them, judged as Frets judges. It ends early, with ctx's error, where
// ctx is done. ErrGauge: the gauge is none of PlanGauges.
func WhatToRead(ctx context.Context, r WhatToReadRequest) (*WhatToReadAnswer, error) {
	if !slices.Contains(PlanGauges(), r.Gauge) {
		return nil, fmt.Errorf("%w: %q", ErrGauge, r.Gauge)
	}
	if r.UMM <= 0 {
		r.UMM = r.Gauge.Spec().Usual()
	}
	if r.Level <= 0 {
		r.Level = triedLevel
		if r.Gauge.Spec().Frets > 1 {
			r.Level = triedThrees
		}
	}
	a := &WhatToReadAnswer{Neck: r.Model.Name, ZoneLimitMM: r.Model.Level.Zone, Gauge: string(r.Gauge), UMM: r.UMM, Warnings: []string{}}
	t := readplan.Trial{Lanes: r.lanes(), Steps: r.steps(true), Shop: r.Shop, LimitMM: r.Model.Level.Zone, Times: r.Times, Judge: r.judge,
		Seed: planSeed, Level: r.Level, Others: r.Level * triedOthers / triedLevel}
	for _, l := range t.Lanes {
		t.ShapeMM = append(t.ShapeMM, r.Layout.Shape(l.Lane, l.Frets))
	}
	if !r.decides(t) {
		t.Steps = r.steps(false)
	}
	if share := t.LevelShare(); share < fewLevel {
		t.Shop.FretMM, t.Shop.TiltMM = filedPart*t.LimitMM, filedPart*t.LimitMM
		a.Warnings = append(a.Warnings, text.FewLevel(share, t.LimitMM, t.Shop.FretMM))
	}
	tried, err := t.Run(ctx)
	if err != nil {
		return nil, err
	}
	a.tell(t, tried)
	return a, nil
}

// lanes are the neck's lanes with its frets, in order.
func (r WhatToReadRequest) lanes() []readplan.Lane {
	var out []readplan.Lane
	for l := 1; l <= r.Layout.Strings(); l++ {
		lane := readplan.Lane{Lane: float64(l)}
		for f := r.Layout.FirstFret(); f <= r.Layout.LastFret(); f++ {
			lane.Frets, lane.XMM = append(lane.Frets, f), append(lane.XMM, r.Layout.LaneX(f, lane.Lane))
		}
		out = append(out, lane)
	}
	return out
}

func (r WhatToReadRequest) steps(sparse bool) []readplan.Step {
	lanes := r.lanes()
	var names []float64
	for _, l := range lanes {
		names = append(names, l.Lane)
	}
	return readplan.First(names, lanes[0].Frets, readplan.Gauge{Method: r.Gauge, UMM: r.UMM}, sparse)
}

// decides reports whether the plan's steps, read without any error from a perfect
// neck, leave no crown undetermined.
func (r WhatToReadRequest) decides(t readplan.Trial) bool {
	said, err := r.judge(t.Perfect(), false)
	return err == nil && said.Verdict == straight.Level
}

// judge judges readings as Frets does: level only where no crown is left. What it
// would read next is simpler than what Frets proposes, and takes longer: what must be
// read, else the lanes in doubt once more.
func (r WhatToReadRequest) judge(readings []reading.Reading, further bool) (readplan.Said, error) {
	m := r.Model
	n, err := judged(context.Background(), m, r.Layout, readings)
	if err != nil {
		return readplan.Said{}, err
	}
	said := readplan.Said{Verdict: n.Verdict}
	if n.Verdict == straight.Level && len(n.Estimate.Misreads)+len(n.Estimate.Undetermined) > 0 {
		said.Verdict = straight.InDoubt
	}
	if said.Verdict != straight.InDoubt || !further {
		return said, nil
	}
	for _, x := range n.Must(readings) {
		said.Next = append(said.Next, x.Set())
	}
	if len(said.Next) > 0 {
		return said, nil
	}
	return readplan.Said{Verdict: said.Verdict, Next: []readplan.Set{r.again(n)}}, nil
}

// again reads lanes in doubt once more; where the gauge sees no long wave, the outer
// lanes with a straight edge.
func (r WhatToReadRequest) again(n *findings.Neck) readplan.Set {
	s := readplan.Set{Method: r.Gauge, UMM: r.UMM}
	for _, l := range n.Lanes {
		if s.Frets = l.Frets; l.Verdict == straight.InDoubt {
			s.Lanes = append(s.Lanes, l.Lane.Lane)
		}
	}
	if r.Gauge.Spec().Frets > 1 {
		s.Method, s.UMM = reading.Edge, reading.Edge.Spec().Usual()
		s.Lanes = []float64{1, float64(r.Layout.Strings())}
	}
	return s
}

// tell puts plan and trial into the answer.
func (a *WhatToReadAnswer) tell(t readplan.Trial, tried readplan.Tried) {
	for i, s := range t.Steps {
		step := ReadStep{Sets: []ReadSet{}, Readings: s.Readings(), Minutes: s.Minutes(t.Times), Why: s.Why, Stop: text.StopNotLevel}
		if i+1 == len(t.Steps) {
			step.Stop = text.StopDecided
		}
		for _, x := range s.Sets {
			step.Sets = append(step.Sets, ReadSet{Method: string(x.Method), Lanes: x.Lanes, Frets: x.Frets, Passes: max(1, x.Passes)})
		}
		a.Steps = append(a.Steps, step)
	}
	a.Stop = text.StopReading
	for _, l := range t.Lanes {
		a.AllReadings += len(l.Frets)
	}
	a.Readings, a.Minutes, a.Tried, a.Shop = tried.Readings, tried.Minutes, tried, t.Shop
}

// NextAnswer is what to read next of a neck that was read in part.
type NextAnswer struct {
	Neck         string        `json:"neck"`
	Verdict      string        `json:"verdict"`
	NextReadings []NextReading `json:"next_readings"`
}

// NextToRead judges a neck's readings and says only what to read next; nothing where
// every lane has its verdict and no crown is open.
func NextToRead(r FretsRequest) (*NextAnswer, error) {
	n, err := judged(context.Background(), r.Model, r.Layout, r.Readings)
	if err != nil {
		return nil, err
	}
	return &NextAnswer{Neck: r.Model.Name, Verdict: string(n.Verdict), NextReadings: nextReadings(n.Next(r.Readings, r.Times))}, nil
}
