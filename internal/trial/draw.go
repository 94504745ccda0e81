package trial

import (
	"hash/fnv"
	"io"
	"math"
	"math/rand/v2"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

// Options are how a class is read.
type Options struct {
	Passes    int     // passes a lane of the gauge that goes along it; 0 means two
	UMM       float64 // standard uncertainty of a beam's reading; 0 means 0.005
	RoundMM   float64 // what readings are rounded to; 0: not at all
	Noiseless bool    // readings without any error of their own; set-ups and slips stay
}

func (o Options) passes() int {
	if o.Passes > 0 {
		return o.Passes
	}
	return 2
}

func (o Options) beamU() float64 {
	if o.UMM > 0 {
		return o.UMM
	}
	return 0.005
}

// Neck is an invented neck, read.
type Neck struct {
	Class    string
	Seed     uint64
	File     string // the neck file's text
	Model    neck.Model
	Layout   *geometry.Layout
	Readings []reading.Reading
	Truth    Truth
}

// WriteReadings writes the readings as a readings file. It returns w's error.
func (n *Neck) WriteReadings(w io.Writer) error {
	return reading.Write(w, reading.Set{Readings: n.Readings})
}

// maker draws one neck. What is wrong with the crowns and how they are read are
// drawn from two sources, so that more readings change no crown.
type maker struct {
	*Neck
	r, noise *rand.Rand
	o        Options
	t        []float64   // of each lane: 1 treble, −1 bass
	curve    [][]float64 // [lane][fret], of the frets beyond board and shape
	dent     [][]float64 // grooves and burrs
	gives    [][]float64
	// A twist (mm per mm²) and a change of curvature (1/mm): height x·y·twist + bulge·y².
	twist, bulge float64
}

// Draw is the seed's neck of a class. The error is of the class alone: its own
// neck file is wrong.
func (c Class) Draw(seed uint64, o Options) (*Neck, error) {
	of := fnv.New64a()
	_, _ = of.Write([]byte(c.Name)) // it has no error
	m := &maker{
		Neck: &Neck{Class: c.Name, Seed: seed}, o: o,
		r: rand.New(rand.NewPCG(seed, of.Sum64())), noise: rand.New(rand.NewPCG(seed, of.Sum64()+1)),
	}
	b := c.blank()
	if c.falls && m.chance(0.25) {
		b.fallFrom, b.fallMM = b.frets-7, 0.1
	}
	b.tellsRadius = m.chance(0.5)
	var err error
	m.File = b.text()
	if m.Model, m.Layout, err = b.laid(); err != nil {
		return nil, err
	}
	m.lay()
	c.faults(m)
	m.settle()
	c.read(m)
	return m.Neck, nil
}

// lay prepares the tables.
func (m *maker) lay() {
	t := &m.Truth
	for f := m.Layout.FirstFret(); f <= m.Layout.LastFret(); f++ {
		t.Frets = append(t.Frets, f)
	}
	for k := range m.Layout.Strings() {
		lane := float64(k + 1)
		t.Lanes = append(t.Lanes, lane)
		m.t = append(m.t, 1-2*m.Layout.Fraction(lane))
		x := make([]float64, len(t.Frets))
		for i, f := range t.Frets {
			x[i] = m.Layout.LaneX(f, lane)
		}
		t.X = append(t.X, x)
		t.Shape = append(t.Shape, m.Layout.Shape(lane, t.Frets))
	}
	n, frets := len(t.Lanes), len(t.Frets)
	m.curve, m.dent, m.gives = table(n, frets), table(n, frets), table(n, frets)
	t.Groove, t.Burr, t.Gives = table(n, frets), table(n, frets), m.gives
	t.Shifted = map[int]bool{}
}

// settle turns what was drawn into crown heights.
func (m *maker) settle() {
	t := &m.Truth
	t.Z, t.Curve = table(len(t.Lanes), len(t.Frets)), table(len(t.Lanes), len(t.Frets))
	for k, lane := range t.Lanes {
		for i, f := range t.Frets {
			m.dent[k][i] = t.Burr[k][i] - t.Groove[k][i]
			p := m.Layout.At(f, lane)
			t.Curve[k][i] = m.Layout.Surface(p) + t.Shape[k][i] + m.curve[k][i] + m.warp(p)
			t.Z[k][i] = t.Curve[k][i] + m.dent[k][i]
		}
	}
}

// warp is the neck's own twist and bulge at a place.
func (m *maker) warp(p geometry.Point) float64 { return m.twist*p.X*p.Y + m.bulge*p.Y*p.Y }

// chance is true with probability p.
func (m *maker) chance(p float64) bool { return m.r.Float64() < p }

// between is even between a and b.
func (m *maker) between(a, b float64) float64 { return a + (b-a)*m.r.Float64() }

// sign is 1 or −1.
func (m *maker) sign() float64 { return float64(2*m.r.IntN(2) - 1) }

// normal is a normal number cut off at 2.5.
func (m *maker) normal() float64 {
	for {
		if v := m.r.NormFloat64(); math.Abs(v) <= 2.5 {
			return v
		}
	}
}

// someFret is any fret but the outermost two at either end.
func (m *maker) someFret() int { return 2 + m.r.IntN(len(m.Truth.Frets)-4) }

// µ turns micrometres into mm.
const µ = 1e-3
