package board

import (
	"math"
	"slices"

	"ringtrue/internal/num"
	"ringtrue/internal/reading"
)

// Arch is the board's radius at one place: as this reading alone has it, missing
// where the gauge shows no hollow under it; as is wanted, missing where the board
// shall be flat; and as all readings across together have it.
type Arch struct {
	Fret     int     `json:"fret"`
	RadiusMM num.Opt `json:"radius_mm"`
	UMM      float64 `json:"u_mm"`
	WantedMM num.Opt `json:"wanted_mm"`
	Verdict  Verdict `json:"verdict"` // of all readings together at this place
	// MiddleMM is how far the middle of the board stands proud of a board of the
	// wanted radius that touches its edges: by the cone where there is one.
	MiddleMM float64 `json:"middle_proud_mm"`
	ConeMM   num.Opt `json:"cone_mm"`
	UConeMM  float64 `json:"u_cone_mm"`

	uMiddleMM float64
	open      bool // not enough is known here
}

// ring is an arch reading on its way to the cone.
type ring struct {
	reading  int
	fret     int
	x, half  float64 // along the board; half the span of the feet, mm
	value, u float64 // height between the feet
	state    ringState
	e, sd    float64 // off what the other arches say
	// local is how far the middle stands over the feet by what the lanes there stand
	// off their own lines; uLocal 0: they do not reach.
	local, uLocal float64
}

type ringState int

const (
	inCone  ringState = iota
	aside             // stands alone against the others
	unclear           // it or another is wrong; which is not known
	real              // stands off the cone, and a neighbour bears it out
)

// archOf turns a height s between feet a span w apart into a radius,
// R = w²/8s + s/2, with u(R) = |dR/ds|·u(s).
func (j *job) archOf(r reading.Reading) Arch {
	x := j.l.CentreX(r.Frets[0])
	a := Arch{Fret: r.Frets[0], Verdict: InDoubt}
	w, s := r.Span, r.Value
	if s > 0 {
		a.RadiusMM = num.Some(w*w/(8*s) + s/2)
		a.UMM = math.Abs(0.5-w*w/(8*s*s)) * r.U
	}
	meant := 0.0
	if wanted := j.l.Radius(x); wanted > 0 {
		a.WantedMM, meant = num.Some(wanted), sag(wanted, w/2)
	}
	half := j.l.Width(x) / 2
	wider := half * half / (w * w / 4) // sags grow with the square of the width
	a.MiddleMM, a.uMiddleMM = (s-meant)*wider, r.U*wider
	return a
}

// sag is the height of an arc of radius r over a chord of twice half.
func sag(r, half float64) float64 {
	half = math.Min(half, r)
	return half * half / (r + math.Sqrt(r*r-half*half))
}

// sagSlope is how the sag changes with the radius; below 0.
func sagSlope(r, half float64) float64 {
	half = math.Min(half, maxHalfPart*r)
	return 1 - r/math.Sqrt(r*r-half*half)
}

// maxHalfPart keeps a gauge's feet off the very edge of a half circle.
const maxHalfPart = 0.99

// rings lists the arch readings, with what the lanes show of a local hump or dip
// beside or between the gauge's feet.
func (j *job) rings() []ring {
	var out []ring
	for i, r := range j.readings {
		if r.Method != reading.Arch {
			continue
		}
		k := ring{reading: i, fret: r.Frets[0], x: j.l.CentreX(r.Frets[0]), half: r.Span / 2, value: r.Value, u: r.U}
		y := 0.0
		if r.Lane > 0 {
			y = j.l.At(k.fret, r.Lane).Y
		}
		k.local, k.uLocal = j.local(k.fret, y, k.half)
		out = append(out, k)
		j.a.Arches = append(j.a.Arches, j.archOf(r))
	}
	return out
}

// local is how far the board's middle stands over the line of the gauge's feet
// at a slot, by what the lanes there stand off their own lines; 0 where they do
// not reach.
func (j *job) local(fret int, y, half float64) (mm, u float64) {
	var at, off, us []float64
	for i, l := range j.a.Lanes {
		if l.knocked {
			continue
		}
		for k, p := range j.sources[i].at {
			if j.places.list[p].fret == fret && p != l.lone {
				at, off, us = append(at, j.places.list[p].at.Y), append(off, l.offMM[k]), append(us, l.uMM[k])
			}
		}
	}
	const overhang = 4.0 // mm beyond the outer lanes that still counts as theirs
	if len(at) < 2 {
		return 0, 0
	}
	if y-half < slices.Min(at)-overhang || y+half > slices.Max(at)+overhang {
		return 0, 0
	}
	weights := make([]float64, len(at))
	for _, foot := range []struct{ y, w float64 }{{y, 1}, {y - half, -0.5}, {y + half, -0.5}} {
		spread(at, foot.y, foot.w, weights)
	}
	v := 0.0
	for i, w := range weights {
		mm += w * off[i]
		v += w * w * us[i] * us[i]
	}
	return mm, math.Sqrt(v)
}

// spread adds weight w at y to the two of the places at that y lies between, in
// proportion; beyond the outermost to that one.
func spread(at []float64, y, w float64, weights []float64) {
	below, above := -1, -1
	for i, v := range at {
		if v <= y && (below < 0 || v > at[below]) {
			below = i
		}
		if v >= y && (above < 0 || v < at[above]) {
			above = i
		}
	}
	switch {
	case below < 0:
		weights[above] += w
	case above < 0 || at[above] == at[below]:
		weights[below] += w
	default:
		t := (y - at[below]) / (at[above] - at[below])
		weights[below] += w * (1 - t)
		weights[above] += w * t
	}
}
