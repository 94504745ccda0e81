package geometry

// Shape is the height in mm that each named fret's crown shall have in a lane:
// zero, plus the neck file's relief and fall-away, each over the lane's own x.
//
// Relief d is a parabola through 0 at the first and the last fret and −d
// half-way between; fall-away d from fret n falls to −d at the last fret, with
// the square of the distance or in proportion to it. To a strung neck's layout (Strung)
// the bow is added that its strings and rod give it.
func (l *Layout) Shape(lane float64, frets []int) []float64 {
	z := l.asLevelled(lane, frets)
	if l.strung != nil {
		for i, b := range l.strung(lane, frets) {
			z[i] += b
		}
	}
	return z
}

// Strung is the layout of a neck whose crowns are read under its strings: along gives
// the bow in mm, beside the shape, at frets of a lane. It changes Shape alone: frets are
// filed slack.
func (l *Layout) Strung(along func(lane float64, frets []int) []float64) *Layout {
	out := *l
	out.strung = along
	return &out
}

// IsStrung says that Shape holds the bow of a strung neck.
func (l *Layout) IsStrung() bool { return l.strung != nil }

// asLevelled is the shape of the slack neck.
func (l *Layout) asLevelled(lane float64, frets []int) []float64 {
	z := make([]float64, len(frets))
	for i, f := range frets {
		z[i] = l.model.Level.Relief*l.Bow(f, l.LastFret(), lane) - l.fallAway(f, lane)
	}
	return z
}

// UnderBeam is what a straight beam meets of the slack neck's shape, never of the
// strings' bow: without the relief where the neck has a rod, which is then set so
// that the relief lies straight under it.
func (l *Layout) UnderBeam(lane float64, frets []int) []float64 {
	z := l.asLevelled(lane, frets)
	if l.model.Body.Rod {
		for i, f := range frets {
			z[i] -= l.model.Level.Relief * l.Bow(f, l.LastFret(), lane)
		}
	}
	return z
}

// StrungBow is the bow of 1 mm that the strung neck takes on beside its shape:
// Bow to setup.relief_to, beyond which the body keeps it straight.
func (l *Layout) StrungBow(fret int, lane float64) float64 {
	to := l.model.Setup.ReliefTo
	if to == 0 {
		to = l.LastFret()
	}
	return l.Bow(fret, to, lane)
}

// Bow is a bow of depth 1 mm at a fret of a lane: a parabola through 0 at the
// first fret and at fret `to`, −1 half-way between, and beyond fret `to` its
// tangent there.
func (l *Layout) Bow(fret, to int, lane float64) float64 {
	first, last := l.LaneX(l.FirstFret(), lane), l.LaneX(to, lane)
	if last <= first {
		return 0
	}
	t := (l.LaneX(fret, lane) - first) / (last - first)
	if t > 1 {
		return 4 * (t - 1)
	}
	return -4 * t * (1 - t)
}

func (l *Layout) fallAway(fret int, lane float64) float64 {
	f := l.model.Level.FallAway
	if f == nil || fret <= f.From || f.From >= l.LastFret() {
		return 0
	}
	from, last := l.LaneX(f.From, lane), l.LaneX(l.LastFret(), lane)
	t := (l.LaneX(fret, lane) - from) / (last - from)
	if !f.Straight {
		t *= t
	}
	bass, treble := f.Depth[0], f.Depth[1]
	return t * (treble + l.Fraction(lane)*(bass-treble))
}
