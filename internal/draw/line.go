package draw

import "math"

// line is a line of straight pieces, at least one.
type line struct {
	points []Point
	closed bool // back to the first
}

// appendLine adds the line through points, to 0.01 mm and without those that
// change nothing: one on its neighbour, or straight on. It adds none where all
// points are one.
func appendLine(lines []line, points []Point, closed bool) []line {
	l := line{closed: closed}
	for _, q := range points {
		l.to(Point{round(q.X), round(q.Y)})
	}
	if n := len(l.points); closed && n > 1 {
		if first, last := l.points[0], l.points[n-1]; first == last || n > 2 && straight(l.points[n-2], last, first) {
			l.points = l.points[:n-1]
		}
	}
	if len(l.points) < 2 {
		return lines
	}
	return append(lines, l)
}

func (l *line) to(q Point) {
	n := len(l.points)
	switch {
	case n > 0 && l.points[n-1] == q:
	case n > 1 && straight(l.points[n-2], l.points[n-1], q):
		l.points[n-1] = q
	default:
		l.points = append(l.points, q)
	}
}

// straight says whether the way from a over b to c goes straight on.
func straight(a, b, c Point) bool {
	const nothing = 1e-10 // sine of a turn: places are whole hundredths
	u, v := b.less(a), c.less(b)
	return math.Abs(u.cross(v)) <= nothing*u.length()*v.length() && u.dot(v) > 0
}

func (p Point) plus(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

func (p Point) less(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

func (p Point) times(k float64) Point { return Point{k * p.X, k * p.Y} }

func (p Point) dot(q Point) float64 { return p.X*q.X + p.Y*q.Y }

func (p Point) cross(q Point) float64 { return p.X*q.Y - p.Y*q.X }

func (p Point) length() float64 { return math.Hypot(p.X, p.Y) }

// turned is the vector turned by an angle, from x towards y.
func (p Point) turned(angle float64) Point {
	sin, cos := math.Sincos(angle)
	return Point{p.X*cos - p.Y*sin, p.X*sin + p.Y*cos}
}

// dashed cuts the line into the pieces that a pattern of dash, gap, dash... leaves.
func (l line) dashed(pattern []float64) []line {
	total := 0.0
	for _, d := range pattern {
		total += d
	}
	if !(total > 0) {
		return []line{l}
	}
	points := l.points
	if l.closed {
		points = append(points[:len(points):len(points)], points[0])
	}
	var out []line
	k, left := 0, pattern[0] // of the pattern: which, and how much of it
	piece := []Point{points[0]}
	for i, end := range points[1:] {
		at := points[i]
		for rest := end.less(at).length(); ; {
			if rest <= left {
				left -= rest
				piece = append(piece, end)
				break
			}
			at = at.plus(end.less(at).times(left / rest))
			rest -= left
			if piece = append(piece, at); k%2 == 0 {
				out = append(out, line{points: piece})
			}
			piece = []Point{at}
			k++
			left = pattern[k%len(pattern)]
		}
	}
	if k%2 == 0 {
		out = append(out, line{points: piece})
	}
	return out
}

// stroked are the areas that a pen of so much half width covers along the line,
// with straight ends and round corners; each goes round the same way, so that
// what two of them cover counts as covered. Arcs are true to the tolerance.
func (l line) stroked(half, tolerance float64) [][]Point {
	there := l.side(half, tolerance)
	back := make([]Point, len(l.points))
	for i, q := range l.points {
		back[len(back)-1-i] = q
	}
	again := line{back, l.closed}.side(half, tolerance)
	if l.closed {
		return [][]Point{there, again} // the outer edge, and the inner the other way round
	}
	return [][]Point{append(there, again...)}
}

// side is the edge beside the line at a distance, on the hand from which y is
// seen to grow towards x.
func (l line) side(half, tolerance float64) (out []Point) {
	n := len(l.points)
	pieces := n - 1
	if l.closed {
		pieces = n
	}
	beside := func(i int) (Point, bool) { // from piece i straight to its edge
		d := l.points[(i+1)%n].less(l.points[i%n])
		long := d.length()
		return Point{d.Y, -d.X}.times(half / long), long > 0
	}
	for i := range pieces {
		to, ok := beside(i)
		if !ok {
			continue
		}
		out = append(out, l.points[i].plus(to), l.points[(i+1)%n].plus(to))
		if i+1 == pieces && !l.closed {
			break
		}
		if next, ok := beside((i + 1) % pieces); ok {
			out = corner(out, l.points[(i+1)%n], to, next, tolerance)
		}
	}
	return out
}

// corner leads round a corner from one edge to the next: on its outside by an
// arc, on its inside by the corner itself.
func corner(out []Point, at, from, to Point, tolerance float64) []Point {
	angle := math.Atan2(from.cross(to), from.dot(to))
	if angle < 0 {
		return append(out, at)
	}
	steps := arcSteps(from.length(), angle, tolerance)
	for k := 1; k < steps; k++ {
		out = append(out, at.plus(from.turned(angle*float64(k)/float64(steps))))
	}
	return out
}

// arcSteps is how many straight pieces keep an arc true to the tolerance.
func arcSteps(radius, angle, tolerance float64) int {
	widest := math.Pi / 2
	if tolerance < radius {
		widest = math.Min(widest, 2*math.Acos(1-tolerance/radius))
	}
	return int(math.Ceil(angle / widest))
}

// line is the circle as a closed line, true to the tolerance.
func (c circle) line(tolerance float64) line {
	l := line{closed: true}
	n := max(8, arcSteps(c.r, 2*math.Pi, tolerance))
	for k := range n {
		l.points = append(l.points, Point{c.x, c.y}.plus(Point{c.r, 0}.turned(2*math.Pi*float64(k)/float64(n))))
	}
	return l
}
