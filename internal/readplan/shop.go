package readplan

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// Shop is how the frets lie on a shop's necks, each fret by itself, as JSON has it.
type Shop struct {
	FretMM float64 `json:"fret_mm"` // scatter of whole frets where nothing is wrong
	TiltMM float64 `json:"tilt_mm"` // and of their ends against their middle
	Odd    float64 `json:"odd"`     // share of frets that lie otherwise
	Necks  int     `json:"necks"`   // that this was learned from; 0: it is assumed
}

// UsualShop are frets that go in within about 4 µm, their ends within 3 µm more,
// six in a hundred of them with an end up or down, arched or crooked. It is an
// assumption: such necks are straight to about half of 0.03 mm.
func UsualShop() Shop { return Shop{FretMM: 0.004, TiltMM: 0.003, Odd: 0.06} }

// Slow change of slope from lane to lane of a fret that nothing is wrong with: a
// convention of ours, pressed wire was taken to lie within 2 to 4 µm of a line.
const smoothMM = 0.0007

// oddKinds are the ways in which an odd fret may lie, and their shares: guesses.
func oddKinds() (shapes []Shape, shares []float64) {
	return []Shape{
		{TiltMM: 0.060, KinkMM: smoothMM},                // an end up or down
		{TiltMM: 0.060, ArchMM: 0.015, KinkMM: smoothMM}, // arched
		{TiltMM: 0.060, KinkMM: 0.020},                   // crooked
		{TiltMM: 0.060, KinkMM: 0.080},                   // very crooked
	}, []float64{0.5, 0.25, 0.17, 0.08}
}

// usual is the shape of a fret that nothing is wrong with.
func (s Shop) usual() Shape { return Shape{TiltMM: s.TiltMM, KinkMM: smoothMM} }

// drawer draws necks of a shop.
type drawer struct {
	shop   Shop
	frets  int
	usual  *mat.TriDense
	odd    []*mat.TriDense
	shares []float64
}

// drawer is for necks with lanes at t, from 1 at the treble lane to −1 at the bass.
func (s Shop) drawer(t []float64, frets int) drawer {
	d := drawer{shop: s, frets: frets, usual: rootOf(s.usual().Cov(t))}
	shapes, shares := oddKinds()
	d.shares = shares
	for _, shape := range shapes {
		d.odd = append(d.odd, rootOf(shape.Cov(t)))
	}
	return d
}

// neck draws one: heights over the shape by lane and fret, mm.
func (d drawer) neck(r *rand.Rand) [][]float64 {
	lanes, _ := d.usual.Dims()
	z := make([][]float64, lanes)
	for l := range z {
		z[l] = make([]float64, d.frets)
	}
	g := make([]float64, lanes)
	for f := range d.frets {
		root := d.usual
		if r.Float64() < d.shop.Odd {
			root = d.odd[d.kind(r.Float64())]
		}
		whole := d.shop.FretMM * r.NormFloat64()
		for i := range g {
			g[i] = r.NormFloat64()
		}
		for l := range z {
			z[l][f] = whole
			for k := range l + 1 {
				z[l][f] += root.At(l, k) * g[k]
			}
		}
	}
	return z
}

// kind is the odd kind at a share of all.
func (d drawer) kind(share float64) int {
	for i, s := range d.shares {
		if share -= s; share < 0 {
			return i
		}
	}
	return 0
}

// FretOff is how one fret of a neck was found: its crowns' mean height off their
// lanes' lines, how far its treble lane stands above the mean, and how sure one
// crown is.
type FretOff struct{ MeanMM, TiltMM, UMM float64 }

// What a shop's necks must show before they are asked.
const (
	minFrets = 60
	// Frets beyond this many standard deviations are odd.
	oddBeyond = 4
	// The assumed share of odd frets counts as much as so many frets read.
	oddWeight = 100
	// No gauge here tells that frets scatter less.
	minScatterMM = 0.001
)

// Learn is the shop that frets of its necks show, read in lanes at t; false where
// they are too few. Scatter is taken from the middle, so that odd frets do not widen
// it, and what the readings add is taken off.
func Learn(frets []FretOff, t []float64, necks int) (Shop, bool) {
	if len(frets) < minFrets || len(t) < 2 {
		return Shop{}, false
	}
	var mean, tilt, u []float64
	for _, f := range frets {
		mean, tilt, u = append(mean, math.Abs(f.MeanMM)), append(tilt, math.Abs(f.TiltMM)), append(u, f.UMM)
	}
	slices.Sort(u)
	reading := u[len(u)/2]
	fretMM, tiltMM := robust(mean), robust(tilt)
	odd := 0.0
	for _, f := range frets {
		if math.Abs(f.MeanMM) > oddBeyond*fretMM || math.Abs(f.TiltMM) > oddBeyond*tiltMM {
			odd++
		}
	}
	less := func(s, lanes float64) float64 {
		return math.Max(minScatterMM, math.Sqrt(math.Max(0, s*s-reading*reading/lanes)))
	}
	return Shop{
		FretMM: less(fretMM, float64(len(t))), TiltMM: less(tiltMM, floats.Dot(t, t)), Necks: necks,
		Odd: (odd + oddWeight*UsualShop().Odd) / (float64(len(frets)) + oddWeight),
	}, true
}

// robust is the standard deviation that sizes of normal numbers show by their median.
func robust(sizes []float64) float64 {
	const halfNormal = 0.6744897501960817
	slices.Sort(sizes)
	return sizes[len(sizes)/2] / halfNormal
}
