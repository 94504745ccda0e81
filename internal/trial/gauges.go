package trial

import (
	"math"

	"gonum.org/v1/gonum/stat"

	"ringtrue/internal/geometry"
	"ringtrue/internal/reading"
)

// Standard uncertainties of the gauges, mm.
const (
	bridgeU = 0.003
	feelerU = 0.003 // how surely "enters" is told from "does not"
	probeU  = 0.003 // of a touch
	archU   = 0.005
	sticksU = 0.01
)

// passName is the name of pass p: a, b, c and so on.
func passName(p int) string { return string(rune('a' + p)) }

// add notes a reading taken at a place.
func (m *maker) add(r reading.Reading, at Place) {
	r.Line, r.UGiven = len(m.Readings)+2, true
	m.Readings = append(m.Readings, r)
	m.Truth.At = append(m.Truth.At, at)
}

// err is an error of one reading.
func (m *maker) err(u float64) float64 {
	v := u * m.noise.NormFloat64()
	if m.o.Noiseless {
		return 0
	}
	return v
}

// rounded is a value as the gauge shows it.
func (m *maker) rounded(v float64) float64 {
	if m.o.RoundMM > 0 {
		return math.Round(v/m.o.RoundMM) * m.o.RoundMM
	}
	return v
}

// felt are a lane's crowns as one pass meets them: a loose end gives at random.
func (m *maker) felt(k int) []float64 {
	z := append([]float64(nil), m.Truth.Z[k]...)
	for i, most := range m.gives[k] {
		if most > 0 {
			z[i] -= most * m.noise.Float64()
		}
	}
	return z
}

// setup is a pass's own offset and tilt.
func (m *maker) setup() (offset, tilt float64) {
	return 0.3 + 0.1*m.noise.NormFloat64(), 0.0005 * m.noise.NormFloat64()
}

// beam reads lane k along a beam.
func (m *maker) beam(k int, pass string) {
	z, lane, u := m.felt(k), m.Truth.Lanes[k], m.o.beamU()
	a, b := m.setup()
	for i, f := range m.Truth.Frets {
		m.add(reading.Reading{Method: reading.Beam, Lane: lane, Frets: []int{f}, Pass: pass, U: u,
			Value: m.rounded(z[i] + a + b*m.Truth.X[k][i] + m.err(u))}, Place{f, lane})
	}
}

// beams reads every lane along a beam.
func (m *maker) beams() { m.eachPass(m.beam) }

// eachPass reads every lane as often as the options say.
func (m *maker) eachPass(read func(k int, pass string)) {
	for p := range m.o.passes() {
		for k := range m.Truth.Lanes {
			read(k, passName(p))
		}
	}
}

// bridge reads lane k over every crown and those `apart` frets to each side.
func (m *maker) bridge(k, apart int, pass string) {
	lane, x := m.Truth.Lanes[k], m.Truth.X[k]
	for i := apart; i+apart < len(m.Truth.Frets); i++ {
		z := m.felt(k)
		p, q := i-apart, i+apart
		w := (x[q] - x[i]) / (x[q] - x[p])
		v := z[i] - w*z[p] - (1-w)*z[q]
		m.add(reading.Reading{Method: reading.Bridge, Lane: lane, Pass: pass, U: bridgeU,
			Frets: []int{m.Truth.Frets[p], m.Truth.Frets[i], m.Truth.Frets[q]}, Value: m.rounded(v + m.err(bridgeU))},
			Place{m.Truth.Frets[i], lane})
	}
}

// bridges reads every lane over its neighbours as often as the options say.
func (m *maker) bridges() { m.eachPass(func(k int, pass string) { m.bridge(k, 1, pass) }) }

// leaves are sets of feeler leaves, thinnest first, mm.
func leaves(set int) []float64 {
	steps := func(from, step float64) (out []float64) {
		for k := 0; from+float64(k)*step <= 2; k++ {
			out = append(out, math.Round((from+float64(k)*step)*1e6)/1e6)
		}
		return out
	}
	switch set {
	case 0:
		return steps(0.005, 0.005)
	case 1:
		return steps(0.01, 0.01)
	case 2:
		return steps(0.02, 0.01)
	}
	return []float64{0.03, 0.04, 0.05, 0.06, 0.07, 0.08, 0.09, 0.10, 0.13, 0.15, 0.18, 0.20, 0.25, 0.30, 0.40, 0.50, 0.75, 1.00, 2}
}

// leafSets is how many sets leaves knows.
const leafSets = 4

// rest is the line a + b·x of a straightedge that lies on a lane's crowns: it
// touches two of them, one each side of its middle, and the others stand under it.
func rest(x, z []float64) (a, b float64, touching [2]int) {
	middle := (x[0] + x[len(x)-1]) / 2
	best := math.Inf(-1)
	for i := range x {
		for j := len(x) - 1; x[j] > middle && x[i] <= middle; j-- {
			slope := (z[j] - z[i]) / (x[j] - x[i])
			if at := z[i] + slope*(middle-x[i]); at > best {
				best, a, b, touching = at, z[i]-slope*x[i], slope, [2]int{i, j}
			}
		}
	}
	return a, b, touching
}

// edge lays a straightedge on lane k and feels the gaps over every step-th crown.
func (m *maker) edge(k, step int, set []float64, pass string) {
	z, lane, x := m.felt(k), m.Truth.Lanes[k], m.Truth.X[k]
	a, b, _ := rest(x, z)
	for i := 0; i < len(x); i += step {
		gap := math.Max(0, a+b*x[i]-z[i]+m.err(feelerU))
		r := reading.Reading{Method: reading.Edge, Lane: lane, Frets: []int{m.Truth.Frets[i]}, Pass: pass, U: feelerU}
		for _, leaf := range set {
			if leaf <= gap+1e-12 { // the leaf as thick as the gap enters
				r.Value = leaf
				continue
			}
			noGo := leaf
			r.NoGo = &noGo
			break
		}
		m.add(r, Place{m.Truth.Frets[i], lane})
	}
}

// edges lays it on every lane as often as the options say.
func (m *maker) edges(set []float64) {
	m.eachPass(func(k int, pass string) { m.edge(k, 1, set, pass) })
}

// probe touches every crown five times across; a pass is one frame, shifted and
// tilted against the neck's.
func (m *maker) probe(pass string) {
	shiftX, shiftY := m.between2(0.1), m.between2(0.1)
	lift, alongTilt, acrossTilt := 20*m.noise.Float64(), 0.0005*m.noise.NormFloat64(), 0.001*m.noise.NormFloat64()
	for k, lane := range m.Truth.Lanes {
		z := m.felt(k)
		for i, f := range m.Truth.Frets {
			at := m.Layout.At(f, lane)
			for touch := -2; touch <= 2; touch++ {
				t := 0.3*float64(touch) + m.between2(0.04)
				y := at.Y + m.between2(0.2)
				p := geometry.Point{X: m.Layout.FretXAt(f, y) + t/m.Layout.Squareness(f), Y: y}
				top := z[i] + m.Layout.Surface(geometry.Point{X: at.X, Y: y}) - m.Layout.Surface(at)
				v := top + math.Sqrt(crownRadiusMM*crownRadiusMM-t*t) - crownRadiusMM
				v += lift + alongTilt*p.X + acrossTilt*p.Y + m.err(probeU)
				m.add(reading.Reading{Method: reading.Probe, Pass: pass, U: probeU, X: p.X + shiftX, Y: p.Y + shiftY, Z: v}, Place{f, lane})
			}
		}
	}
}

// between2 is even within ± size, of the readings' own chance.
func (m *maker) between2(size float64) float64 { return size * (2*m.noise.Float64() - 1) }

// probes touches the neck as often as the options say.
func (m *maker) probes() {
	for p := range m.o.passes() {
		m.probe(passName(p))
	}
}

// archSpanMM is the distance of an arch gauge's feet.
const archSpanMM = 30

// arches stands an arch gauge on the middle of some frets.
func (m *maker) arches() {
	lane := float64(m.Layout.Strings()+1) / 2
	for _, f := range []int{1, 7, 12, m.Layout.LastFret() - 2} {
		at := m.Layout.At(f, lane)
		v := m.across(f, at.Y) - (m.across(f, at.Y-archSpanMM/2)+m.across(f, at.Y+archSpanMM/2))/2
		m.add(reading.Reading{Method: reading.Arch, Frets: []int{f}, Span: archSpanMM, U: archU, Value: m.rounded(v + m.err(archU))}, Place{f, 0})
	}
}

// across is the height of a fret's crown at y, its dents left out.
func (m *maker) across(fret int, y float64) float64 {
	i, lanes := m.Truth.place(fret), m.Truth.Lanes
	x := m.Layout.FretXAt(fret, y)
	p := geometry.Point{X: x, Y: y}
	k := 1 // lanes run from the treble side, y falling
	for k < len(lanes)-1 && m.Layout.At(fret, lanes[k]).Y > y {
		k++
	}
	y0, y1 := m.Layout.At(fret, lanes[k-1]).Y, m.Layout.At(fret, lanes[k]).Y
	w := (y - y0) / (y1 - y0)
	own := (m.curve[k-1][i]+m.Truth.Shape[k-1][i])*(1-w) + (m.curve[k][i]+m.Truth.Shape[k][i])*w
	return m.Layout.Surface(p) + own + m.warp(p)
}

// sticks sees how far the treble end of some frets stands up against fret 1.
func (m *maker) sticks() {
	const span = 300
	for _, f := range []int{12, m.Layout.LastFret()} {
		v := span * (m.slope(f) - m.slope(1))
		m.add(reading.Reading{Method: reading.Sticks, Frets: []int{1, f}, Span: span, U: sticksU * span / 50, Value: m.rounded(v + m.err(sticksU*span/50))}, Place{f, 0})
	}
}

// slope is how steeply a fret's curve rises to the treble side.
func (m *maker) slope(fret int) float64 {
	i := m.Truth.place(fret)
	var y, z []float64
	for k, lane := range m.Truth.Lanes {
		y, z = append(y, m.Layout.At(fret, lane).Y), append(z, m.Truth.Curve[k][i])
	}
	_, slope := stat.LinearRegression(y, z, nil, false)
	return slope
}
