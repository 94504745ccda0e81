package gauge

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"

	"ringtrue/internal/num"
	"ringtrue/internal/straight"
)

// DecisionRule is what a number of passes can decide of a crown that must stand
// within half a zone of its place.
type DecisionRule struct {
	Passes      int     `json:"passes"`
	U           float64 `json:"u"`            // standard uncertainty of a crown
	LevelWithin num.Opt `json:"level_within"` // a crown found at most so far off is called level; missing: none ever is
	OffBeyond   float64 `json:"off_beyond"`   // one found farther off is called high or low
}

// NewDecisionRule works out what passes can decide with a gauge: fixed is the standard
// deviation that stays however often is read, free that which averages out.
// zone and passes are above 0.
//
// A verdict wants straight.Confidence. Source: JCGM 106:2012, clauses 7 and 8;
// checked by TestNewDecisionRule_ConformanceProbability.
func NewDecisionRule(fixed, free, zone float64, passes int) DecisionRule {
	s := DecisionRule{Passes: passes, U: math.Hypot(fixed, free/math.Sqrt(float64(passes)))}
	half := zone / 2
	s.OffBeyond = half + s.U*distuv.UnitNormal.Quantile(straight.Confidence)
	s.LevelWithin = levelWithin(s.U, zone)
	return s
}

// levelWithin finds how far off a crown may be found and still be level, by
// halving: the chance falls steadily with the distance.
func levelWithin(u, zone float64) num.Opt {
	level := func(off float64) bool { return straight.CrownVerdict(off, u, zone) == straight.Level }
	if !level(0) {
		return num.Opt{}
	}
	lo, hi := 0.0, zone/2
	if level(hi) {
		return num.Some(hi) // no uncertainty at all
	}
	for range 60 {
		if mid := (lo + hi) / 2; level(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return num.Some(lo)
}

// LargestU is the standard uncertainty above which no crown can be called
// level: half the zone over 1.96.
//
// Source: JCGM 106:2012: P(within) = 2Φ(T/u) − 1 at the middle of the zone.
func LargestU(zone float64) float64 {
	return zone / 2 / distuv.UnitNormal.Quantile(0.5+straight.Confidence/2)
}

// SharpU is the standard uncertainty at which a crown read half-way from the
// middle to the edge of the zone is still called level: a quarter of the zone
// over 1.645.
//
// Source: JCGM 106:2012, 8.3.2, guarded acceptance.
func SharpU(zone float64) float64 {
	return zone / 4 / distuv.UnitNormal.Quantile(straight.Confidence)
}

// Passes is the least number of passes whose average has a standard
// uncertainty of at most u; 0 where no number will do.
func Passes(fixed, free, u float64) int {
	room := u*u - fixed*fixed
	switch {
	case free == 0 && room >= 0:
		return 1
	case room <= 0:
		return 0
	}
	n := math.Ceil(free*free/room - 1e-9)
	if n > 1e6 {
		return 0 // nobody reads a crown a million times
	}
	return max(1, int(n))
}

// Risks of passing and refusing, as shares of all parts.
type Risks struct {
	PassedWrongly  float64 // passed, although outside the limits
	RefusedWrongly float64 // refused, although within
}

// WrongVerdicts is how often a plain reading misleads where it is taken at
// face value: parts are spread normally about the middle with standard
// deviation spread, must stand within ±half, are read with standard
// uncertainty u, and pass where the reading lies within ±accept. spread, half
// and u are above 0.
//
// Source: JCGM 106:2012, 9.5; Deaver, "Guardbanding with confidence" (1994);
// checked by TestWrongVerdicts_Deaver and TestWrongVerdicts_JCGM106.
func WrongVerdicts(spread, u, half, accept float64) Risks {
	if accept <= 0 {
		within := 1 - 2*distuv.UnitNormal.Survival(half/spread)
		return Risks{RefusedWrongly: within}
	}
	normal := distuv.UnitNormal
	passes := func(x float64) float64 {
		return normal.CDF((accept-x)/u) - normal.CDF((-accept-x)/u)
	}
	density := func(x float64) float64 { return normal.Prob(x/spread) / spread }
	far := math.Max(half, accept) + 10*(spread+u)
	passed := func(x float64) float64 { return 2 * density(x) * passes(x) }
	refused := func(x float64) float64 { return 2 * density(x) * (1 - passes(x)) }
	return Risks{
		PassedWrongly:  pieces(passed, half, far, math.Min(u, spread)),
		RefusedWrongly: pieces(refused, 0, half, math.Min(u, spread)),
	}
}

// pieces integrates from a to b in pieces a few scales long, so that a steep
// place between is not stepped over.
func pieces(f func(float64) float64, a, b, scale float64) (sum float64) {
	const most, nodes = 400, 20
	n := int(math.Min(most, math.Ceil((b-a)/(2*scale))))
	for i := range n {
		lo := a + (b-a)*float64(i)/float64(n)
		hi := a + (b-a)*float64(i+1)/float64(n)
		sum += quad.Fixed(f, lo, hi, nodes, quad.Legendre{}, 0)
	}
	return sum
}
