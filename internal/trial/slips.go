package trial

import (
	"math"

	"ringtrue/internal/heights"
	"ringtrue/internal/reading"
)

// misread misreads n of the readings so far, by 0.06 to 1 mm.
func (m *maker) misread(n int) {
	for range n {
		at := m.noise.IntN(len(m.Readings))
		by := 0.06 * math.Exp(m.noise.Float64()*math.Log(1/0.06))
		if m.noise.IntN(2) == 0 {
			by = -by
		}
		m.slip(at, by)
	}
}

// slip misreads one reading once, if it can be.
func (m *maker) slip(at int, by float64) {
	for _, s := range m.Truth.Wrong {
		if s.Reading == at {
			return
		}
	}
	r := &m.Readings[at]
	switch r.Method {
	case reading.Probe:
		r.Z += by
	case reading.Beam, reading.Bridge:
		r.Value = m.rounded(r.Value + by)
	default:
		return
	}
	m.Truth.Wrong = append(m.Truth.Wrong, Slip{at, by})
}

// misreadShare misreads each reading with probability p.
func (m *maker) misreadShare(p float64) {
	n := 0
	for range m.Readings {
		if m.noise.Float64() < p {
			n++
		}
	}
	m.misread(n)
}

// spoil puts a fault on one whole pass of a beam: knocked, a crown skipped, or
// two swapped.
func (m *maker) spoil() {
	// The last pass or the first alike; any lane.
	k := m.noise.IntN(len(m.Truth.Lanes))
	pass := passName(m.noise.IntN(m.o.passes()))
	var at []int
	for i, r := range m.Readings {
		if r.Method == reading.Beam && r.Lane == m.Truth.Lanes[k] && r.Pass == pass {
			at = append(at, i)
		}
	}
	from := 3 + m.noise.IntN(len(at)-6)
	fault := PassFault{Method: string(reading.Beam), Lane: m.Truth.Lanes[k], Pass: pass, FromFret: m.Truth.Frets[from]}
	switch m.Seed % 3 {
	case 0:
		fault.Finding, fault.StepMM = heights.Knocked, m.knock(at[from:])
	case 1:
		fault.Finding = heights.Skipped
		m.skip(at[from:])
	default:
		fault.Finding = heights.Swapped
		m.swap(at[from], at[from+1])
	}
	m.Truth.Passes = append(m.Truth.Passes, fault)
}

// knock shifts readings by 0.03 to 0.3 mm.
func (m *maker) knock(at []int) float64 {
	step := 0.03 * math.Exp(m.noise.Float64()*math.Log(10))
	if m.noise.IntN(2) == 0 {
		step = -step
	}
	for _, i := range at {
		m.Readings[i].Value = m.rounded(m.Readings[i].Value + step)
		m.Truth.Shifted[i] = true
	}
	return step
}

// skip leaves the first crown of these out: each reading stands one fret too
// early, and the pass ends one short.
func (m *maker) skip(at []int) {
	for j, i := range at {
		m.Truth.Shifted[i] = true
		if j+1 < len(at) {
			m.Readings[i].Value = m.Readings[at[j+1]].Value
		}
	}
	last := at[len(at)-1]
	m.Readings = append(m.Readings[:last], m.Readings[last+1:]...)
	m.Truth.At = append(m.Truth.At[:last], m.Truth.At[last+1:]...)
	delete(m.Truth.Shifted, last)
	shifted := map[int]bool{}
	for i := range m.Truth.Shifted {
		if i > last {
			i--
		}
		shifted[i] = true
	}
	m.Truth.Shifted = shifted
	for i := range m.Truth.Wrong {
		if m.Truth.Wrong[i].Reading > last {
			m.Truth.Wrong[i].Reading--
		}
	}
	for i := range m.Readings {
		m.Readings[i].Line = i + 2
	}
}

// swap lets two readings change places.
func (m *maker) swap(i, j int) {
	m.Readings[i].Value, m.Readings[j].Value = m.Readings[j].Value, m.Readings[i].Value
	m.Truth.Shifted[i], m.Truth.Shifted[j] = true, true
}
