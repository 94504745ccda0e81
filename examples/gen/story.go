package main

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"

	"ringtrue/internal/answer"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

// story is neck 0412 after heron-seated.csv: what the maker does with it, and
// the readings taken after each step.
type story struct {
	model  neck.Model
	layout *geometry.Layout
	rng    *rand.Rand
	off    map[int][]float64 // of each fret's crowns, lane after lane, in mm
}

// The hand's scatter, and the dial's, in mm.
const (
	refitHeight = 0.004 // of a fret lifted and fitted anew
	refitTilt   = 0.003
	newWire     = 0.033  // how far the fret of new wire comes out over its neighbours
	fileHand    = 0.0015 // how far beyond or short of the plan a levelling goes
	dialNoise   = 0.0015
	dialStep    = 0.002
)

// stages are the two readings files that follow heron-seated.csv, and a study
// of the shop's gauge, by name.
func stages(dir string) (map[string]string, error) {
	s, err := begin(dir)
	if err != nil {
		return nil, err
	}
	s.refit(7, 0)
	s.refit(14, 0)
	s.refit(19, newWire)
	files := map[string]string{"heron-refitted.csv": s.readings(
		"Heron 22, neck 0412: frets 7 and 14 pressed again, 19 replaced, all glued. Neck relaxed, rod at rest.", "2026-03-16")}
	if err := s.level(files["heron-refitted.csv"]); err != nil {
		return nil, err
	}
	files["heron-levelled.csv"] = s.readings("Heron 22, neck 0412, levelled by the plan. Neck relaxed, rod at rest.", "2026-03-17")
	files["gauge-study.csv"] = gaugeStudy()
	files["heron-feelers.csv"], err = feelersOnly(dir)
	return files, err
}

// begin takes the crowns as the first readings tell them.
func begin(dir string) (*story, error) {
	data, err := os.ReadFile(filepath.Join(dir, "heron.toml"))
	if err != nil {
		return nil, err
	}
	m, err := neck.Parse("heron.toml", data)
	if err != nil {
		return nil, err
	}
	l, err := geometry.New(m)
	if err != nil {
		return nil, err
	}
	rows, err := os.ReadFile(filepath.Join(dir, "heron-seated.csv"))
	if err != nil {
		return nil, err
	}
	s := &story{model: m, layout: l, rng: rand.New(rand.NewPCG(412, 22)), off: map[int][]float64{}}
	a, err := s.judge(string(rows))
	if err != nil {
		return nil, err
	}
	for _, c := range a.Crowns {
		if s.off[c.Fret] == nil {
			s.off[c.Fret] = make([]float64, l.Strings())
		}
		s.off[c.Fret][int(c.Lane)-1] = c.OffMM
	}
	return s, nil
}

func (s *story) judge(rows string) (*answer.FretsAnswer, error) { return s.plan(rows, 0) }

// plan judges a set of readings and plans to a zone, 0 for the limit.
func (s *story) plan(rows string, toMM float64) (*answer.FretsAnswer, error) {
	set, err := reading.Parse("heron", bytes.NewReader([]byte(rows)), reading.Bounds{
		FirstFret: s.layout.FirstFret(), LastFret: s.layout.LastFret(), Strings: s.layout.Strings()})
	if err != nil {
		return nil, err
	}
	return answer.Frets(context.Background(), answer.FretsRequest{Model: s.model, Layout: s.layout, Readings: set.Readings, PlanToMM: toMM})
}

// refit sets a fret proud of its neighbours, or level with them at 0, as well
// as a hand does.
func (s *story) refit(fret int, proud float64) {
	height, tilt := refitHeight*s.rng.NormFloat64(), refitTilt*s.rng.NormFloat64()
	last := float64(len(s.off[fret]) - 1)
	for i := range s.off[fret] {
		s.off[fret][i] = (s.off[fret-1][i]+s.off[fret+1][i])/2 + proud + height + tilt*(2*float64(i)/last-1)
	}
}

// level takes off what the plan of a set of readings says, as well as a hand does.
func (s *story) level(rows string) error {
	a, err := s.judge(rows)
	if err != nil {
		return err
	}
	// To the limit itself the next readings would leave it in doubt.
	if a, err = s.plan(rows, a.Plan.SurelyToMM.OrNaN()); err != nil {
		return err
	}
	for _, c := range a.Plan.Crowns {
		s.off[c.Fret][int(c.Lane)-1] -= math.Max(0, c.RemoveMM+fileHand*s.rng.NormFloat64())
	}
	return nil
}

// readings reads every lane once with a dial on a straight beam.
func (s *story) readings(says, date string) string {
	n := &notes{comma: ",", point: "."}
	n.say(says, "0.002 mm dial on a straight beam, one pass a lane.")
	n.row("method", "lane", "fret", "reading", "unit", "state", "date")
	for lane := 1; lane <= s.layout.Strings(); lane++ {
		offset, tilt := 0.4+0.02*s.rng.NormFloat64(), 5e-5*s.rng.NormFloat64()
		for fret := s.layout.FirstFret(); fret <= s.layout.LastFret(); fret++ {
			x := s.layout.LaneX(fret, float64(lane))
			v := offset + tilt*x + s.off[fret][lane-1] + s.layout.Shape(float64(lane), []int{fret})[0] + dialNoise*s.rng.NormFloat64()
			n.row("beam", strconv.Itoa(lane), strconv.Itoa(fret), fmt.Sprintf("%.3f", math.Round(v/dialStep)*dialStep), "mm", "slack", date)
		}
	}
	return n.text()
}
