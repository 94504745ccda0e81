package book

import (
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"slices"

	"ringtrue/internal/num"
)

// Packed is every determined crown of a neck in one value: a grid of lanes and
// frets, each cell 2 bytes for the height and 2 for its uncertainty. Summing up
// a hundred thousand necks then reads one value a neck.
//
// Layout, little endian: version 1; number of lanes; first fret; number of
// frets; exponent of the height's step; exponent of the uncertainty's step (all
// one byte); the lanes as 8-byte floats; the heights lane after lane as int16;
// the uncertainties likewise as uint16. A step is 0.1 µm (heights) or 0.01 µm
// (uncertainties) times 10 to its exponent: 0 but for sizes beyond 3 mm.
// −32768 marks an undetermined crown.
type Packed []byte

const (
	packedVersion = 1
	packedHead    = 6
	heightStepMM  = 1e-4
	uStepMM       = 1e-5
	none          = math.MinInt16
	maxStep       = 12 // exponents beyond are no sizes of a neck
	maxFret       = 255
)

// Pack packs crowns. Frets lie in 0 to 255, at most 255 of them in at most 255
// lanes; sizes are finite, uncertainties not below 0, and no crown is twice.
func Pack(crowns []Crown) (Packed, error) {
	if len(crowns) == 0 {
		return Packed{packedVersion, 0, 0, 0, 0, 0}, nil
	}
	var lanes []float64
	first, last := math.MaxInt, math.MinInt
	maxOff, maxU := 0.0, 0.0
	for _, c := range crowns {
		if !finite(c.OffMM) || !finite(c.UMM) || !finite(c.Lane) || c.UMM < 0 {
			return nil, fmt.Errorf("fret %d, lane %g: %g ± %g mm is not a height", c.Fret, c.Lane, c.OffMM, c.UMM)
		}
		lanes = append(lanes, c.Lane)
		first, last = min(first, c.Fret), max(last, c.Fret)
		maxOff, maxU = max(maxOff, math.Abs(c.OffMM)), max(maxU, c.UMM)
	}
	slices.Sort(lanes)
	lanes = slices.Compact(lanes)
	offExp, offStep := stepFor(maxOff, heightStepMM, math.MaxInt16)
	uExp, uStep := stepFor(maxU, uStepMM, math.MaxUint16)
	frets := last - first + 1
	if first < 0 || last > maxFret || frets > 255 || len(lanes) > 255 || offExp > maxStep || uExp > maxStep {
		return nil, fmt.Errorf("frets %d to %d in %d lanes, up to %g mm: too many or too large to keep", first, last, len(lanes), maxOff)
	}
	p := make(Packed, packedHead+8*len(lanes)+4*len(lanes)*frets)
	copy(p, []byte{packedVersion, byte(len(lanes)), byte(first), byte(frets), byte(offExp), byte(uExp)})
	for i, l := range lanes {
		binary.LittleEndian.PutUint64(p[packedHead+8*i:], math.Float64bits(l))
	}
	g := p.grid()
	for i := 0; i < g.cells; i++ {
		binary.LittleEndian.PutUint16(p[g.heights+2*i:], 0x8000)
	}
	for _, c := range crowns {
		lane, _ := slices.BinarySearch(lanes, c.Lane)
		i := lane*frets + c.Fret - first
		if binary.LittleEndian.Uint16(p[g.heights+2*i:]) != 0x8000 {
			return nil, fmt.Errorf("fret %d, lane %g: there twice", c.Fret, c.Lane)
		}
		binary.LittleEndian.PutUint16(p[g.heights+2*i:], uint16(int16(math.Round(c.OffMM/offStep))))
		binary.LittleEndian.PutUint16(p[g.us+2*i:], uint16(math.Round(c.UMM/uStep)))
	}
	return p, nil
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// stepFor is the smallest step 10^e·base with which a size fits in n steps.
func stepFor(size, base float64, n float64) (exp int, step float64) {
	step = base
	for size/step > n+0.49 && exp <= maxStep { // 0.49 more still rounds to n
		exp, step = exp+1, step*10
	}
	return exp, step
}

// grid is where the parts of packed crowns lie.
type grid struct {
	lanes, first, frets, cells int
	heights, us                int // where they begin
	offStep, uStep             float64
}

func (p Packed) grid() grid {
	lanes, frets := int(p[1]), int(p[3])
	g := grid{lanes: lanes, first: int(p[2]), frets: frets, cells: lanes * frets, offStep: heightStepMM, uStep: uStepMM}
	g.heights = packedHead + 8*lanes
	g.us = g.heights + 2*g.cells
	for range p[4] {
		g.offStep *= 10
	}
	for range p[5] {
		g.uStep *= 10
	}
	return g
}

// Check says whether the bytes are packed crowns.
func (p Packed) Check() error {
	if len(p) < packedHead {
		return fmt.Errorf("%w: crowns cut short", ErrDamaged)
	}
	if p[0] != packedVersion {
		return fmt.Errorf("%w: crowns packed in an unknown way (%d)", ErrDamaged, p[0])
	}
	if lanes, frets := int(p[1]), int(p[3]); len(p) != packedHead+8*lanes+4*lanes*frets || p[4] > maxStep || p[5] > maxStep {
		return fmt.Errorf("%w: crowns of the wrong length", ErrDamaged)
	}
	if last := int(p[2]) + int(p[3]) - 1; last > maxFret {
		return fmt.Errorf("%w: crowns up to fret %d", ErrDamaged, last)
	}
	return nil
}

// CrownTable is packed crowns opened for reading, without copying them.
type CrownTable struct {
	FirstFret, Frets int
	Lanes            []float64
	StepMM           float64 // of a height
	heights          []byte
}

// Open opens packed crowns into s, reusing its lanes.
func (p Packed) Open(s *CrownTable) error {
	if err := p.Check(); err != nil {
		return err
	}
	g := p.grid()
	s.FirstFret, s.Frets, s.StepMM = g.first, g.frets, g.offStep
	s.Lanes = s.Lanes[:0]
	for i := range g.lanes {
		lane := math.Float64frombits(binary.LittleEndian.Uint64(p[packedHead+8*i:]))
		if !finite(lane) || i > 0 && lane <= s.Lanes[i-1] {
			return fmt.Errorf("%w: crowns with lanes out of order", ErrDamaged)
		}
		s.Lanes = append(s.Lanes, lane)
	}
	s.heights = p[g.heights:g.us]
	return nil
}

// Steps is the height of cell i (lane after lane, fret after fret) in steps;
// false where that crown is undetermined.
func (s *CrownTable) Steps(i int) (int, bool) {
	v := int16(binary.LittleEndian.Uint16(s.heights[2*i:]))
	return int(v), v != none
}

// Unpack lists the crowns: fret, lane, height and uncertainty.
func (p Packed) Unpack() ([]Crown, error) {
	var s CrownTable
	if err := p.Open(&s); err != nil {
		return nil, err
	}
	g := p.grid()
	var crowns []Crown
	for i := range g.cells {
		v, ok := s.Steps(i)
		if !ok {
			continue
		}
		crowns = append(crowns, Crown{
			Fret: g.first + i%g.frets, Lane: s.Lanes[i/g.frets], OffMM: float64(v) * g.offStep,
			UMM: float64(binary.LittleEndian.Uint16(p[g.us+2*i:])) * g.uStep,
		})
	}
	return crowns, nil
}

// packedLane is a lane's determined crowns from its first such fret on, null
// between them where one is undetermined.
type packedLane struct {
	Lane      float64   `json:"lane"`
	FirstFret int       `json:"first_fret"`
	OffMM     []num.Opt `json:"off_mm"`
	UMM       []num.Opt `json:"u_mm"`
}

// MarshalJSON lists the crowns by lane, heights rounded to 0.1 µm; null where
// there is nothing to list.
func (p Packed) MarshalJSON() ([]byte, error) {
	if p == nil {
		return []byte("null"), nil
	}
	crowns, err := p.Unpack()
	if err != nil {
		return nil, err
	}
	lanes := []packedLane{}
	for _, x := range crowns { // sorted by lane and fret
		if n := len(lanes); n == 0 || lanes[n-1].Lane != x.Lane {
			lanes = append(lanes, packedLane{Lane: x.Lane, FirstFret: x.Fret})
		}
		l := &lanes[len(lanes)-1]
		n := x.Fret - l.FirstFret - len(l.OffMM) // undetermined between
		l.OffMM = append(append(l.OffMM, make([]num.Opt, n)...), tidy(x.OffMM))
		l.UMM = append(append(l.UMM, make([]num.Opt, n)...), tidy(x.UMM))
	}
	return json.Marshal(lanes)
}

// tidy takes off the last bits that a multiple of a step comes out with.
func tidy(mm float64) num.Opt { return num.Some(math.Round(mm*1e7) / 1e7) }

// UnmarshalJSON packs what MarshalJSON writes. Lanes that cannot be packed leave
// nothing: what they were is worked out again.
func (p *Packed) UnmarshalJSON(b []byte) error {
	*p = nil
	var lanes []packedLane
	if err := json.Unmarshal(b, &lanes); err != nil {
		return err
	}
	var crowns []Crown
	for _, l := range lanes {
		if len(l.OffMM) != len(l.UMM) {
			return nil
		}
		for i := range l.OffMM {
			off, known := l.OffMM[i].Get()
			if u, both := l.UMM[i].Get(); known && both {
				crowns = append(crowns, Crown{Fret: l.FirstFret + i, Lane: l.Lane, OffMM: off, UMM: u})
			}
		}
	}
	if packed, err := Pack(crowns); err == nil {
		*p = packed
	}
	return nil
}

// differs compares packed crowns; a step of rounding is no difference.
func (p Packed) differs(o Packed) string {
	a, errA := p.Unpack()
	b, errB := o.Unpack()
	switch {
	case errA != nil:
		return errA.Error()
	case errB != nil:
		return errB.Error()
	case len(a) != len(b):
		return fmt.Sprintf("%d crowns, now %d", len(a), len(b))
	}
	ga, gb := p.grid(), o.grid()
	offTol, uTol := 1.01*max(ga.offStep, gb.offStep), 1.01*max(ga.uStep, gb.uStep)
	for i := range a {
		x, y := a[i], b[i]
		if x.Fret != y.Fret || x.Lane != y.Lane {
			return fmt.Sprintf("a crown at fret %d, lane %g, now at fret %d, lane %g", x.Fret, x.Lane, y.Fret, y.Lane)
		}
		if math.Abs(x.OffMM-y.OffMM) > offTol || math.Abs(x.UMM-y.UMM) > uTol {
			return fmt.Sprintf("fret %d, lane %g: %.4f ± %.5f mm, now %.4f ± %.5f mm", x.Fret, x.Lane, x.OffMM, x.UMM, y.OffMM, y.UMM)
		}
	}
	return ""
}

// At is a table of one fret alone, without heights.
func (s *CrownTable) At(fret int) CrownTable {
	return CrownTable{FirstFret: fret, Frets: 1, Lanes: s.Lanes, StepMM: s.StepMM}
}

// HasFret says whether the table has a fret.
func (s *CrownTable) HasFret(fret int) bool {
	return fret >= s.FirstFret && fret < s.FirstFret+s.Frets && len(s.Lanes) > 0
}
