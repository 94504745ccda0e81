package geometry

import (
	"fmt"
	"math"

	"ringtrue/internal/neck"
)

// Point is a place on the board, in mm.
type Point struct{ X, Y float64 }

// Layout is where everything of one neck lies.
type Layout struct {
	model     neck.Model
	strings   int
	nut       [2]Point // of the outer lanes: treble (string 1), bass (last string)
	saddle    [2]Point
	nutY      []float64 // of each string
	saddleY   []float64
	lastFretX float64                                   // on the centre line
	strung    func(lane float64, frets []int) []float64 // nil: slack
}

// New lays out a neck. An error says which sizes cannot hold the frets.
func New(m neck.Model) (*Layout, error) {
	l := &Layout{model: m, strings: len(m.Strings.Set)}
	for i, s := range m.Strings.Set {
		t := l.Fraction(float64(i + 1))
		nutY, saddleY := m.Strings.Spread[0]*(0.5-t), m.Strings.Spread[1]*(0.5-t)
		if s.At != nil {
			nutY, saddleY = s.At[0], s.At[1]
		}
		l.nutY, l.saddleY = append(l.nutY, nutY), append(l.saddleY, saddleY)
	}
	last := l.strings - 1
	for i := 1; i <= last; i++ {
		if l.nutY[i] >= l.nutY[i-1] || l.saddleY[i] >= l.saddleY[i-1] {
			return nil, fmt.Errorf("string %d does not lie on the bass side of string %d", i+1, i)
		}
	}
	l.placeOuterLanes()
	l.lastFretX = l.CentreX(m.Scale.Frets)
	if !(l.lastFretX > 0) {
		return nil, fmt.Errorf("the frets have no room on this scale")
	}
	return l, nil
}

// placeOuterLanes shifts the two outer scales along x so that fret SquareAt is
// square to the centre line and the nut line crosses the centre line at x = 0.
func (l *Layout) placeOuterLanes() {
	s := l.model.Scale
	p := l.Share(s.SquareAt)
	last := l.strings - 1
	yt, yb := l.nutY[0], l.nutY[last]
	shift := (s.Bass - s.Treble) * p // treble nut's x less bass nut's x
	var xt, xb float64
	if yt != yb {
		xb = -shift * (0 - yb) / (yt - yb)
		xt = xb + shift
	}
	l.nut = [2]Point{{xt, yt}, {xb, yb}}
	l.saddle = [2]Point{{xt + s.Treble, l.saddleY[0]}, {xb + s.Bass, l.saddleY[last]}}
	if l.strings == 1 {
		l.nut[1], l.saddle[1] = l.nut[0], l.saddle[0]
	}
}

// Fraction is how far a lane lies from string 1 (0) to the last string (1),
// by its number; 0.5 on a neck with one string.
func (l *Layout) Fraction(lane float64) float64 {
	if l.strings == 1 {
		return 0.5
	}
	return (lane - 1) / float64(l.strings-1)
}

// Share is the part of the scale from the nut to fret n: 1 − 2^(−n/divisions).
func (l *Layout) Share(fret int) float64 {
	return -math.Expm1(-float64(fret) / float64(l.model.Scale.Divisions) * math.Ln2)
}

// Strings is how many strings, and so whole lanes, the neck has.
func (l *Layout) Strings() int { return l.strings }

// FirstFret is 0 on a neck with a zero fret, else 1.
func (l *Layout) FirstFret() int {
	if l.model.Scale.ZeroFret {
		return 0
	}
	return 1
}

// LastFret is the number of the last fret.
func (l *Layout) LastFret() int { return l.model.Scale.Frets }

// laneEnds gives the nut and saddle points of a lane.
func (l *Layout) laneEnds(lane float64) (nut, saddle Point) {
	i := int(math.Floor(lane)) - 1
	i = min(max(i, 0), l.strings-1)
	j := min(i+1, l.strings-1)
	w := lane - float64(i+1)
	y0 := l.nutY[i] + w*(l.nutY[j]-l.nutY[i])
	y1 := l.saddleY[i] + w*(l.saddleY[j]-l.saddleY[i])
	return Point{xOnLine(l.nut, y0), y0}, Point{xOnLine(l.saddle, y1), y1}
}

// xOnLine is the x at which the straight line through two points has this y.
func xOnLine(ends [2]Point, y float64) float64 {
	dy := ends[1].Y - ends[0].Y
	if dy == 0 {
		return ends[0].X
	}
	return ends[0].X + (ends[1].X-ends[0].X)*(y-ends[0].Y)/dy
}

// fretEnds gives the points where a fret crosses the outer lanes.
func (l *Layout) fretEnds(fret int) [2]Point {
	p := l.Share(fret)
	var ends [2]Point
	for k := range ends {
		n, s := l.nut[k], l.saddle[k]
		ends[k] = Point{n.X + p*(s.X-n.X), n.Y + p*(s.Y-n.Y)}
	}
	return ends
}

// At is where a fret crosses a lane.
func (l *Layout) At(fret int, lane float64) Point {
	nut, saddle := l.laneEnds(lane)
	e := l.fretEnds(fret)
	dx, dy := e[1].X-e[0].X, e[1].Y-e[0].Y
	lx, ly := saddle.X-nut.X, saddle.Y-nut.Y
	if dy == 0 { // a single string
		s := (e[0].X - nut.X) / lx
		return Point{e[0].X, nut.Y + s*ly}
	}
	// e0 + r·(dx, dy) = nut + s·(lx, ly), solved for s.
	s := ((e[0].X-nut.X)*dy - (e[0].Y-nut.Y)*dx) / (lx*dy - ly*dx)
	return Point{nut.X + s*lx, nut.Y + s*ly}
}

// LaneX is how far fret n lies from the lane's own nut line, in mm.
func (l *Layout) LaneX(fret int, lane float64) float64 {
	nut, _ := l.laneEnds(lane)
	return l.At(fret, lane).X - nut.X
}

// LaneScale is the lane's own scale length, nut line to saddle line, in mm.
func (l *Layout) LaneScale(lane float64) float64 {
	nut, saddle := l.laneEnds(lane)
	return saddle.X - nut.X
}

// CentreX is where a fret crosses the centre line, in mm from the nut.
func (l *Layout) CentreX(fret int) float64 { return l.FretXAt(fret, 0) }

// Radius is the board's radius at x, linear between the nut and the last fret;
// 0 means flat there.
func (l *Layout) Radius(x float64) float64 { return linear(l.model.Board.Radius, x/l.lastFretX) }

// Width is the board's width at x, linear between the nut and the last fret.
func (l *Layout) Width(x float64) float64 { return linear(l.model.Board.Width, x/l.lastFretX) }

func linear(p neck.Pair, t float64) float64 { return p[0] + t*(p[1]-p[0]) }

// Surface is the height of the intended board at a place, against its own
// centre line: R − √(R² − y²) below it, 0 on a flat board.
func (l *Layout) Surface(p Point) float64 {
	r := l.Radius(p.X)
	if r <= 0 {
		return 0
	}
	y := math.Min(math.Abs(p.Y), r)
	return -y * y / (r + math.Sqrt(r*r-y*y)) // without cancellation
}

// FretXAt is the x at which a fret's line has this y, in mm.
func (l *Layout) FretXAt(fret int, y float64) float64 { return xOnLine(l.fretEnds(fret), y) }

// Squareness is the cosine of a fret's slant: 1 for a fret square to the
// centre line. Distances along x times this are distances across the wire.
func (l *Layout) Squareness(fret int) float64 {
	e := l.fretEnds(fret)
	dx, dy := e[1].X-e[0].X, e[1].Y-e[0].Y
	if dy == 0 {
		return 1
	}
	return math.Abs(dy) / math.Hypot(dx, dy)
}
