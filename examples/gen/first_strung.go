package main

import (
	"context"
	"encoding/binary"
	"fmt"
	"math"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/listen"
	"ringtrue/internal/num"
	"ringtrue/internal/setup"
	"ringtrue/internal/tune"
)

// measured are the gaps under neck 0413's strings, as the tutorial types them: over
// fret 1, and over fret 12 of the first and the last string.
func (n *first) measured() (all []setup.Measured) {
	const gap, first, last = 0.70, 2.00, 2.40
	for i := range n.layout.Strings() {
		action := first + (last-first)*float64(i)/float64(n.layout.Strings()-1)
		all = append(all, setup.Measured{String: i + 1, FirstMM: num.Some(gap), ActionMM: num.Some(action)})
	}
	return all
}

// How well a hand files a slot and sets a saddle, in mm.
const (
	slotHand   = 0.006
	saddleHand = 0.02
	leafStep   = 0.01 // what leaves tell
	ruleStep   = 0.05 // what a rule tells
)

// setUp does a pass of the set-up sheet, and measures again.
func (n *first) setUp(rows string, was []setup.Measured) ([]setup.Measured, error) {
	set, err := n.parse(rows)
	if err != nil {
		return nil, err
	}
	a, err := answer.Setup(context.Background(), answer.SetupRequest{
		PlayRequest: answer.PlayRequest{Model: n.model, Layout: n.layout, Readings: set, Read: true}, Measured: was})
	if err != nil {
		return nil, err
	}
	var all []setup.Measured
	for i, s := range a.Strings {
		slot := math.Max(0, s.SlotNowMM.OrNaN()+slotHand*n.rng.NormFloat64())
		saddle := math.Max(0, s.SaddleNowMM+saddleHand*n.rng.NormFloat64())
		lower := func(fret int) float64 {
			x := n.layout.LaneX(fret, float64(i+1)) / n.layout.LaneScale(float64(i+1))
			return slot*(1-x) + saddle*x
		}
		all = append(all, setup.Measured{String: i + 1,
			FirstMM:  num.Some(read(was[i].FirstMM.OrNaN()-lower(1), leafStep)),
			ActionMM: num.Some(read(was[i].ActionMM.OrNaN()-lower(12), ruleStep))})
	}
	return all, nil
}

// read is a size to a step.
func read(mm, step float64) float64 { return math.Round(1e3*step*math.Round(mm/step)) / 1e3 }

// strings is the table of what is measured after the first pass.
func (n *first) strings(rows string) (string, error) {
	all, err := n.setUp(rows, n.measured())
	if err != nil {
		return "", err
	}
	var b strings.Builder
	err = setup.Write(&b, all)
	return b.String(), err
}

// The recording of neck 0413: its third string, the one that is farthest off.
const (
	playedString = 3
	playedHz     = 8000
	playedS      = 0.9  // from note to note
	playedStep   = 0.03 // a damped note's end, in s
	hiss         = 0.0015
)

// played is a recording of one string, open and at every fret, its saddle set back so
// far from the scale's line, in mm: struck partials of a stiff, damped string and a
// little hiss, 16 bits, one channel.
func (n *first) played(setbackMM float64) (string, error) {
	lane, err := tune.OfNeck(n.model, n.layout, playedString, 440)
	if err != nil {
		return "", err
	}
	samples := make([]float64, playedHz/2)
	for i := range samples {
		samples[i] = hiss * n.rng.NormFloat64()
	}
	cents := append([]float64{0}, lane.At(tune.Setback{SaddleMM: setbackMM}).Cents...)
	for fret, off := range cents {
		ratio := math.Pow(2, float64(fret)/12)
		b := lane.String.Inharmonicity(lane.String.ScaleMM / ratio)
		samples = append(samples, n.pluck(lane.String.PitchHz*ratio*math.Pow(2, off/1200), b)...)
	}
	return mono(samples), nil
}

// pluck is one note: first is its first partial, in Hz, b its inharmonicity.
func (n *first) pluck(first, b float64) []float64 {
	out := make([]float64, int(playedS*playedHz))
	for p := 1.0; ; p++ {
		f := first * p * math.Sqrt((1+b*p*p)/(1+b))
		if f > 0.45*playedHz {
			break
		}
		strength := 0.25 * math.Sin(p*math.Pi/5.3) / p
		decay := 1.2 + 1e-6*f*f
		for i := range out {
			t := float64(i) / playedHz
			out[i] += strength * math.Exp(-decay*t) * math.Sin(2*math.Pi*f*t)
		}
	}
	for i := range out {
		left := playedS - float64(i)/playedHz
		out[i] = out[i]*math.Min(1, left/playedStep) + hiss*n.rng.NormFloat64()
	}
	return out
}

// mono is a WAV file of one channel, 16 bits.
func mono(samples []float64) string {
	le := binary.LittleEndian
	size := 2 * len(samples)
	b := append([]byte("RIFF"), le.AppendUint32(nil, uint32(36+size))...)
	b = append(b, "WAVEfmt "...)
	b = le.AppendUint32(b, 16)
	b = le.AppendUint16(b, 1)
	b = le.AppendUint16(b, 1)
	b = le.AppendUint32(b, playedHz)
	b = le.AppendUint32(b, 2*playedHz)
	b = le.AppendUint16(b, 2)
	b = le.AppendUint16(b, 16)
	b = append(b, "data"...)
	b = le.AppendUint32(b, uint32(size))
	for _, v := range samples {
		b = le.AppendUint16(b, uint16(int16(math.Round(math.Max(-1, math.Min(1, v))*math.MaxInt16))))
	}
	return string(b)
}

// saddleOut is where the saddles stand when the neck is strung first, in mm behind
// the scale's line.
const saddleOut = 1.0

// heard are the recordings before and after the saddle moves as listen says.
func (n *first) heard() (before, after string, err error) {
	if before, err = n.played(saddleOut); err != nil {
		return "", "", err
	}
	a, err := answer.Listen(context.Background(), answer.ListenRequest{
		Request: listen.Request{Model: n.model, Layout: n.layout, Strings: []int{playedString}, To: -1}, WAV: []byte(before)}, nil)
	if err != nil {
		return "", "", err
	}
	if len(a.Strings) != 1 || a.Strings[0].Saddle == nil {
		return "", "", fmt.Errorf("nothing is heard of the saddle: %+v", a.Strings)
	}
	after, err = n.played(saddleOut + math.Round(10*a.Strings[0].Saddle.SaddleMM)/10 + saddleHand*n.rng.NormFloat64())
	return before, after, err
}

// answers are what an ear said of every note: all clear but two, of which one is a slip.
func (n *first) answers() string {
	var b strings.Builder
	b.WriteString("string,fret,touch,heard\n")
	for k := n.layout.Strings(); k >= 1; k-- {
		for fret := 0; fret <= n.layout.LastFret(); fret++ {
			heard := "clear"
			if k == 2 && fret == 5 || k == 3 && fret == 0 {
				heard = "buzzes"
			}
			fmt.Fprintf(&b, "%d,%d,firm,%s\n", k, fret, heard)
		}
	}
	return b.String()
}

// wear wears the treble strings' first crowns, and dries the neck a little.
func (n *first) wear() {
	deep := [][]float64{{0.04, 0.07, 0.075, 0.05, 0.03}, {0.06, 0.085, 0.095, 0.07, 0.05}, {0.03, 0.05, 0.06, 0.04}}
	for k, of := range deep {
		for i, d := range of {
			n.z[k][i] -= d
		}
	}
	for k := range n.z {
		x := n.neck.Truth.X[k]
		for i := range x {
			t := (x[i] - x[0]) / (x[len(x)-1] - x[0])
			n.z[k][i] -= 0.015 * 4 * t * (1 - t)
		}
	}
}
