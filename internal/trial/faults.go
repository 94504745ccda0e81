package trial

import (
	"math"

	"ringtrue/internal/findings"
	"ringtrue/internal/num"
)

// Scatter of frets that were put in well: a whole fret, its ends, how the
// crown's slope changes from lane to lane, and a slow wave of the board.
const (
	seatMM  = 2.5 * µ
	tiltMM  = 2 * µ
	hingeMM = 0.7 * µ
	waveMM  = 3 * µ
)

// sound puts in every fret well.
func (m *maker) sound() {
	wave, phase := m.between(0.5, 2), m.between(0, 2*math.Pi)
	for i := range m.Truth.Frets {
		along := float64(i) / float64(len(m.Truth.Frets)-1)
		whole := seatMM*m.normal() + waveMM*math.Sin(2*math.Pi*wave*along+phase)
		tilt := tiltMM * m.normal()
		m.addHinges(i, hingeMM)
		for k, t := range m.t {
			m.curve[k][i] += whole + tilt*t
		}
	}
}

// addHinges bends fret i at each inner lane by size a lane step, and takes the
// straight part out.
func (m *maker) addHinges(i int, size float64) {
	n := len(m.t)
	v := make([]float64, n)
	for k := 1; k < n-1; k++ {
		bend := size * m.normal()
		for j := k + 1; j < n; j++ {
			v[j] += bend * float64(j-k)
		}
	}
	num.Detrend(m.t, v)
	for k := range v {
		m.curve[k][i] += v[k]
	}
}

// odd puts in one to three frets badly, on frets of their own.
func (m *maker) odd(most int) {
	for range 1 + m.r.IntN(most) {
		m.badFret()
	}
}

// badFret puts in one fret badly: an end up or the whole fret off.
func (m *maker) badFret() {
	i := m.freshFret()
	if m.chance(0.5) {
		m.endUp(i)
		return
	}
	amount := m.sign() * m.between(40, 120) * µ
	kind := findings.KindFretHigh
	if amount < 0 {
		kind = findings.KindFretLow
	}
	for k := range m.t {
		m.curve[k][i] += amount
	}
	m.bad(i, kind, amount)
}

// endUp leaves one end of fret i unseated. Most wire lifts straight, some bends
// where it leaves the board.
func (m *maker) endUp(i int) {
	amount, side, reach := m.between(40, 140)*µ, m.sign(), 1.0
	if m.chance(0.3) {
		reach = m.between(0.5, 0.9)
	}
	for k, t := range m.t {
		from := (1 - side*t) / 2 // 0 at the end that is up, 1 at the other
		m.curve[k][i] += amount * math.Max(0, 1-from/reach)
	}
	m.bad(i, findings.KindSeat, amount)
}

func (m *maker) bad(i int, kind string, amount float64) {
	m.Truth.Bad = append(m.Truth.Bad, BadFret{m.Truth.Frets[i], kind, amount})
}

// freshFret is a fret that is not bad yet.
func (m *maker) freshFret() int {
	for {
		i := m.someFret()
		fresh := true
		for _, b := range m.Truth.Bad {
			fresh = fresh && b.Fret != m.Truth.Frets[i]
		}
		if fresh {
			return i
		}
	}
}

// played wears grooves under two to four neighbouring strings at the first
// frets, 10 to 120 µm deep, with gaps between.
func (m *maker) played() {
	lanes := len(m.t)
	strings := 2 + m.r.IntN(min(3, lanes-1))
	first := m.r.IntN(lanes - strings + 1)
	if m.chance(0.6) {
		first = 0 // the treble strings wear most
	}
	reach := 5 + m.r.IntN(5)
	for k := first; k < first+strings; k++ {
		deep := 12 * µ * math.Exp(m.between(0, 1.8))
		for i := range reach {
			if m.chance(0.25) {
				continue
			}
			depth := deep * m.between(0.5, 1.8)
			m.Truth.Groove[k][i] = math.Min(math.Max(depth, 10*µ), 120*µ)
		}
	}
}

// lone wears n grooves of their own, anywhere.
func (m *maker) lone(n int, least, most float64) {
	for range n {
		k, i := m.r.IntN(len(m.t)), m.r.IntN(len(m.Truth.Frets))
		m.Truth.Groove[k][i] = m.between(least, most)
	}
}

// hump raises the board under several frets.
func (m *maker) hump() {
	n := len(m.Truth.Frets)
	width := 4 + m.r.IntN(5)
	from := 1 + m.r.IntN(n-width-1)
	height := m.between(20, 80) * µ
	tilt := m.between(-0.2, 0.2)
	var frets []int
	for i := from; i < from+width; i++ {
		s := math.Sin(math.Pi * (float64(i-from) + 0.5) / float64(width))
		for k, t := range m.t {
			m.curve[k][i] += height * s * s * (1 + tilt*t)
		}
		if height*s*s > m.Model.Level.Zone/2 {
			frets = append(frets, m.Truth.Frets[i])
		}
	}
	if len(frets) >= 3 {
		m.Truth.Whole = append(m.Truth.Whole, WholeFault{findings.KindHump, frets, height})
	}
}

// hollow bends the whole neck, the middle low.
func (m *maker) hollow(least, most float64) {
	depth := m.between(least, most)
	for k, x := range m.Truth.X {
		for i := range x {
			s := (x[i] - x[0]) / (x[len(x)-1] - x[0])
			m.curve[k][i] -= 4 * s * (1 - s) * depth
		}
	}
	m.Truth.Whole = append(m.Truth.Whole, WholeFault{findings.KindBow, nil, depth})
}

// twisted turns the body's end against the nut's; the amount is from edge to edge.
func (m *maker) twisted() {
	l := m.Layout
	amount := m.sign() * m.between(0.06, 0.4)
	x := l.CentreX(l.LastFret())
	m.twist = amount / ((x - l.CentreX(l.FirstFret())) * l.Width(x))
	m.Truth.Whole = append(m.Truth.Whole, WholeFault{findings.KindTwist, nil, amount})
}

// wrongRadius makes all frets rounder or flatter than meant; the amount is the
// middle above the edges at the last fret.
func (m *maker) wrongRadius() {
	l := m.Layout
	amount := m.sign() * m.between(0.06, 0.25)
	half := l.Width(l.CentreX(l.LastFret())) / 2
	m.bulge = -amount / (half * half)
	m.Truth.Whole = append(m.Truth.Whole, WholeFault{findings.KindRadius, nil, amount})
}

// loose lets one fret's end give under the gauge.
func (m *maker) loose() {
	i, side := m.freshFret(), m.sign()
	m.bad(i, findings.KindLoose, looseMM)
	share := []float64{1, 0.6, 0.25}
	for j, s := range share {
		k := j
		if side < 0 {
			k = len(m.t) - 1 - j
		}
		if k >= 0 && k < len(m.t) {
			m.gives[k][i] = looseMM * s
		}
	}
}

// looseMM is how far a loose end gives at most.
const looseMM = 0.13

// eachByItself puts every crown off by itself, evenly up to size.
func (m *maker) eachByItself(size float64) {
	for k := range m.curve {
		for i := range m.curve[k] {
			m.curve[k][i] += m.between(-size, size)
		}
	}
}

// worn wears the first lanes and frets, each crown evenly from 0 to most.
func (m *maker) worn(lanes, frets int, most float64) {
	for k := range min(lanes, len(m.t)) {
		for i := range frets {
			m.Truth.Groove[k][i] = m.between(0, most)
		}
	}
}

// wornLane wears one lane all along.
func (m *maker) wornLane() {
	k := m.r.IntN(len(m.t))
	for i := range m.Truth.Frets {
		m.Truth.Groove[k][i] = m.between(30, 100) * µ
	}
}

// burrs leaves burrs on a share of the crowns.
func (m *maker) burrs(share float64) {
	for k := range m.t {
		for i := range m.Truth.Frets {
			if m.chance(share) {
				m.Truth.Burr[k][i] = m.between(20, 80) * µ
			}
		}
	}
}

// kinked bends every third fret or so within the neck's width.
func (m *maker) kinked() {
	for i := range m.Truth.Frets {
		if m.chance(0.35) {
			m.addHinges(i, 20*µ)
		}
	}
}
