package play

import (
	"context"
	"fmt"
	"math"

	"ringtrue/internal/geometry"
	"ringtrue/internal/num"
	"ringtrue/internal/stringset"
)

// Board is a whole neck as a bent string meets it: every string's lane and
// rest, and the surface that the lanes lie on.
type Board struct {
	Layout *geometry.Layout
	Cases  []Case // of the strings that are known
	// Lines gives each case's line of z = 0 on the board's surface: height and
	// slope, a + b·x.
	Lines [][2]float64
	Rests []Rest
}

// BendVerdict is what is said of a bend.
type BendVerdict string

// The verdicts of bends.
const (
	BendClear BendVerdict = "clear"
	Strikes   BendVerdict = "strikes"       // a fret, in its swing
	FretsOut  BendVerdict = "frets out"     // at rest it lies on a crown beyond its stop
	OffBoard  BendVerdict = "off the board" // the board is not wide enough for it
)

// Bend is a string stopped at a fret and pushed across the board.
type Bend struct {
	String       int         `json:"string"`
	Fret         int         `json:"fret"`
	Verdict      BendVerdict `json:"verdict"`
	PushMM       float64     `json:"push_mm"`        // sideways at the stop
	MarginMM     num.Opt     `json:"margin_mm"`      // against the ideal string's reach
	ClearMM      num.Opt     `json:"clear_mm"`       // against the stiff string's
	NearestFret  *int        `json:"nearest_fret"`   // where the stiff string comes nearest
	AcrossMM     num.Opt     `json:"across_mm"`      // and how far from the centre line, treble side positive
	SaveRadiusMM num.Opt     `json:"save_radius_mm"` // the tightest radius at the stop that clears it
	SaveFlat     bool        `json:"save_flat"`      // only a flat board would
	SaveFallMM   num.Opt     `json:"save_fall_mm"`   // what the nearest fret would have to fall away further
	gapMM        float64     // the least of the resting string
}

// maxPushMM bounds the search for a push.
const maxPushMM = 200

// PushFor is how far a string must be pushed sideways at a stop for its pitch
// to rise by some semitones, and the tension that it then has. y are its places
// across the board at nut, stop and saddle, dir is +1 or −1.
//
// The string slides freely at nut and stop: ΔT = ES·ΔL/L over the whole length,
// and f follows √T over the length from stop to saddle.
func PushFor(s stringset.String, stop Stop, y [3]float64, dir, semitones float64) (pushMM, tensionN float64, ok bool) {
	scale := stop.XMM + stop.LengthMM
	rest := math.Hypot(stop.XMM, y[1]-y[0]) + math.Hypot(stop.LengthMM, y[2]-y[1])
	sounding := math.Hypot(stop.LengthMM, y[2]-y[1])
	at := func(push float64) (tension, cents float64) {
		to := y[1] + dir*push
		long := math.Hypot(stop.LengthMM, y[2]-to)
		stretch := math.Hypot(stop.XMM, to-y[0]) + long - rest
		tension = s.TensionN + s.AxialStiffnessN()*stretch/rest
		return tension, 600*math.Log2(tension/s.TensionN) - 1200*math.Log2(long/sounding)
	}
	lo, hi := 0.0, math.Min(maxPushMM, scale)
	if t, c := at(hi); !(t > 0) || !(c >= 100*semitones) {
		return 0, 0, false
	}
	for range 100 {
		mid := (lo + hi) / 2
		if t, c := at(mid); t > 0 && c >= 100*semitones {
			hi = mid
		} else {
			lo = mid
		}
	}
	t, _ := at(hi)
	return hi, t, true
}

// Bends follows every stop from fret 1 on of every case, pushed towards the
// farther edge until the pitch has risen by some semitones, under the judging
// touch.
func (b *Board) Bends(ctx context.Context, semitones float64) ([]Bend, error) {
	out := []Bend{}
	for i := range b.Cases {
		c := &b.Cases[i]
		for _, stop := range c.Lane.Stops(c.Setup, b.Rests[i]) {
			if stop.Fret == 0 || stop.Beyond >= len(c.Lane.Crowns) {
				continue
			}
			bend, err := b.bend(ctx, i, stop, semitones)
			if err != nil {
				return nil, fmt.Errorf("string %d bent at fret %d: %w", c.Lane.String, stop.Fret, err)
			}
			out = append(out, bend)
		}
	}
	return out, nil
}

func (b *Board) bend(ctx context.Context, i int, stop Stop, semitones float64) (Bend, error) {
	c := &b.Cases[i]
	lane := float64(c.Lane.String)
	from := b.Layout.At(stop.Fret, lane)
	nut, saddle := b.ends(lane)
	dir := -1.0
	if from.Y < 0 {
		dir = 1
	}
	out := Bend{String: c.Lane.String, Fret: stop.Fret, Verdict: OffBoard}
	push, tension, ok := PushFor(c.String, stop, [3]float64{nut.Y, from.Y, saddle.Y}, dir, semitones)
	out.PushMM = push
	if to := from.Y + dir*push; !ok || math.Abs(to) > b.Layout.Width(from.X)/2 {
		return out, nil
	}
	path := b.path(i, stop.Fret, from.Y+dir*push)
	bent := c.String
	bent.TensionN = tension
	ideal, own, err := path.clearance(ctx, c, bent)
	if err != nil {
		return out, err
	}
	gaps := path.gaps(b, 1)
	gap, _ := path.least(gaps, nil)
	margin, _ := path.least(gaps, ideal)
	clear, k := path.least(gaps, own)
	out.gapMM, out.MarginMM, out.ClearMM = gap, num.Some(margin), num.Some(clear)
	out.NearestFret, out.AcrossMM = &path.frets[k], num.Some(path.at[k].Y)
	switch {
	case clear >= 0:
		out.Verdict = BendClear
		return out, nil
	case gap <= 0:
		out.Verdict = FretsOut
	default:
		out.Verdict = Strikes
	}
	radius := b.radiusFor(path, own)
	out.SaveRadiusMM, out.SaveFlat, out.SaveFallMM = num.Some(radius), math.IsInf(radius, 1), num.Some(-clear)
	return out, nil
}

// ends are the places of a lane at the nut and at the saddle.
func (b *Board) ends(lane float64) (nut, saddle geometry.Point) {
	nut = b.Layout.At(0, lane)
	last := b.Layout.At(b.Layout.LastFret(), lane)
	share := b.Layout.LaneScale(lane) / b.Layout.LaneX(b.Layout.LastFret(), lane)
	return nut, geometry.Point{X: nut.X + share*(last.X-nut.X), Y: nut.Y + share*(last.Y-nut.Y)}
}

// bentPath is a string's straight way from its bent stop to the saddle.
type bentPath struct {
	index        int // of its case
	stop, saddle geometry.Point
	length       float64
	stopFret     int
	frets        []int // beyond the stop
	at           []geometry.Point
	share        []float64 // from stop (0) to saddle (1)
}

// path crosses every fret beyond a stop.
func (b *Board) path(i, fret int, y float64) bentPath {
	lane := float64(b.Cases[i].Lane.String)
	_, saddle := b.ends(lane)
	p := bentPath{index: i, stopFret: fret, stop: b.onFret(fret, y), saddle: saddle}
	p.length = math.Hypot(saddle.X-p.stop.X, saddle.Y-p.stop.Y)
	for f := fret + 1; f <= b.Layout.LastFret(); f++ {
		// The fret is straight: cross it with the string's line.
		e0, e1 := b.Layout.At(f, 1), b.Layout.At(f, float64(b.Layout.Strings()))
		dx, dy := saddle.X-p.stop.X, saddle.Y-p.stop.Y
		fx, fy := e1.X-e0.X, e1.Y-e0.Y
		t := (e0.X - p.stop.X) / dx
		if fy != 0 {
			t = ((e0.X-p.stop.X)*fy - (e0.Y-p.stop.Y)*fx) / (dx*fy - dy*fx)
		}
		p.frets = append(p.frets, f)
		p.share = append(p.share, t)
		p.at = append(p.at, geometry.Point{X: p.stop.X + t*dx, Y: p.stop.Y + t*dy})
	}
	return p
}

// onFret is the point of a fret at a distance from the centre line.
func (b *Board) onFret(fret int, y float64) geometry.Point {
	e0, e1 := b.Layout.At(fret, 1), b.Layout.At(fret, float64(b.Layout.Strings()))
	if e0.Y == e1.Y {
		return geometry.Point{X: e0.X, Y: y}
	}
	t := (y - e0.Y) / (e1.Y - e0.Y)
	return geometry.Point{X: e0.X + t*(e1.X-e0.X), Y: y}
}

// crown is the height of a fret's crown at a point, against the board's centre
// line, the board's arch taken arch times as deep: the surface, and on it what
// the known lanes' crowns stand off it, straight between lanes.
func (b *Board) crown(fret int, p geometry.Point, arch float64) float64 {
	var below, above float64
	yBelow, yAbove := math.Inf(-1), math.Inf(1)
	for i, c := range b.Cases {
		crown, err := c.Lane.at(fret)
		if err != nil {
			continue
		}
		at := b.Layout.At(fret, float64(c.Lane.String))
		off := crown.ZMM + b.lift(i, crown.XMM)
		if at.Y <= p.Y && at.Y > yBelow {
			yBelow, below = at.Y, off
		}
		if at.Y >= p.Y && at.Y < yAbove {
			yAbove, above = at.Y, off
		}
	}
	off := 0.0
	switch {
	case math.IsInf(yBelow, 0) && math.IsInf(yAbove, 0):
	case math.IsInf(yBelow, 0):
		off = above
	case math.IsInf(yAbove, 0) || yAbove == yBelow:
		off = below
	default:
		off = below + (above-below)*(p.Y-yBelow)/(yAbove-yBelow)
	}
	return arch*b.Layout.Surface(p) + off
}

// lift is how far a lane's line of z = 0 stands off the surface at x: nothing
// on a cone whose strings run with it, a little where they do not.
func (b *Board) lift(i int, x float64) float64 {
	lane := float64(b.Cases[i].Lane.String)
	nut, saddle := b.ends(lane)
	t := x / b.Layout.LaneScale(lane)
	p := geometry.Point{X: nut.X + t*(saddle.X-nut.X), Y: nut.Y + t*(saddle.Y-nut.Y)}
	return b.Lines[i][0] + b.Lines[i][1]*x - b.Layout.Surface(p)
}

// gaps are the resting string's over each crown of the path.
func (p bentPath) gaps(b *Board, arch float64) []float64 {
	stop := b.crown(p.stopFret, p.stop, arch)
	lane := b.Cases[p.index].Lane
	// The saddle stands above its own lane's line, whose height follows the arch.
	saddle := b.Rests[p.index].SaddleMM + arch*b.Layout.Surface(p.saddle) + b.lift(p.index, lane.ScaleMM)
	out := make([]float64, len(p.frets))
	for k, f := range p.frets {
		out[k] = stop + (saddle-stop)*p.share[k] - b.crown(f, p.at[k], arch)
	}
	return out
}

// least is the least of gap minus need, and over which crown; nil needs are 0.
func (p bentPath) least(gaps, clearance []float64) (mm float64, at int) {
	mm = math.Inf(1)
	for k, g := range gaps {
		if clearance != nil {
			g -= clearance[k]
		}
		if g < mm {
			mm, at = g, k
		}
	}
	return mm, at
}

// needs are the ideal and the stiff string's over each crown of the path.
func (p bentPath) clearance(ctx context.Context, c *Case, s stringset.String) (ideal, own []float64, err error) {
	pluck, err := PluckOf(c.Touches[c.Judge], s.TensionN, p.length)
	if err != nil {
		return nil, nil, err
	}
	x := make([]float64, len(p.frets))
	for k, t := range p.share {
		x[k] = t * p.length
		ideal = append(ideal, pluck.HeightMM*Reach(x[k], pluck.AtMM, p.length))
	}
	barrier, err := (&Case{String: s, Decay: c.Decay, Stopped: c.Stopped, Lane: c.Lane}).barrier(Stop{Fret: p.stopFret, LengthMM: p.length}, x)
	if err != nil {
		return nil, nil, err
	}
	own, err = newWorkpiece(barrier, pluck, nil).ownReach(ctx)
	return ideal, own, err
}

// radiusFor is the tightest radius at the stop, this board's arch scaled as a
// whole, at which the path's margins are 0 or more; infinite where only a flat
// board does, NaN where not even that.
func (b *Board) radiusFor(p bentPath, clearance []float64) float64 {
	ok := func(arch float64) bool { mm, _ := p.least(p.gaps(b, arch), clearance); return mm >= 0 }
	if !ok(0) {
		return math.NaN()
	}
	lo, hi := 0.0, 1.0
	for range 60 {
		if mid := (lo + hi) / 2; ok(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	if lo < 1e-3 {
		return math.Inf(1)
	}
	return b.Layout.Radius(p.stop.X) / lo
}
