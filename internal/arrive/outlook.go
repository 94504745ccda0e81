package arrive

import (
	"fmt"
	"math"
	"math/rand/v2"

	"ringtrue/internal/level"
)

// draws is how many next readings are drawn: a chance of 0.95 is then known to
// within 0.013.
const draws = 300

// Outlook tells what the next reading of a neck will say after filing. It is not
// changed by what it is asked; several goroutines may ask at once.
type Outlook struct {
	ask   Ask
	given []level.Lane
	lanes []lane
	read  []float64 // errors of the readings, of those before less those after; draws × crowns
	bows  []float64 // how much bow they have, draws × lanes
	hand  []float64 // the hand's, draws × crowns
	crown int       // how many crowns there are
}

// New draws the readings to come. Errors: ErrCovariance, ErrAsk, and those of
// level.Least of the lanes. Cost: of the order of the cube of the number of
// crowns, one millisecond for 132.
func New(n Neck, a Ask) (*Outlook, error) {
	if a.After == 0 {
		a.After = 1
	}
	if !(a.LimitMM > 0) || !(a.HandMM >= 0) || !(a.After > 0) || math.IsInf(a.LimitMM+a.HandMM+a.After, 0) {
		return nil, fmt.Errorf("%w: limit %v mm, hand %v mm, %v passes", ErrAsk, a.LimitMM, a.HandMM, a.After)
	}
	if _, err := level.Least(n.Lanes, a.LimitMM); err != nil { // it checks the lanes
		return nil, err
	}
	lanes, err := n.gather()
	if err != nil {
		return nil, err
	}
	o := &Outlook{ask: a, given: n.Lanes, lanes: lanes, crown: size(lanes)}
	for i := range o.lanes {
		if k := &o.lanes[i]; len(k.x) > 0 {
			k.free = newBasis(k.x, a.BowFree)
			k.spread = k.free.part(k.cov, len(k.x))
		}
	}
	return o, o.draw(n)
}

// draw draws errors of all readings and of the hand.
func (o *Outlook) draw(n Neck) error {
	if o.crown == 0 {
		return nil
	}
	r := rand.New(rand.NewPCG(o.ask.Seed, uint64(o.crown)))
	drawn, err := n.errorsOf(o.lanes, draws, r)
	if err != nil {
		return err
	}
	o.read, o.bows = drawn.Data, make([]float64, draws*len(o.lanes))
	scale := math.Sqrt(1 + o.after()) // readings before and after err independently
	for i := range o.read {
		o.read[i] *= scale
	}
	for d := range draws {
		for a := range o.lanes {
			if k := &o.lanes[a]; len(k.x) > 0 {
				o.bows[d*len(o.lanes)+a] = k.free.rest(o.row(o.read, d, k))
			}
		}
	}
	o.hand = make([]float64, draws*o.crown)
	if o.ask.HandMM > 0 {
		for i := range o.hand {
			o.hand[i] = o.ask.HandMM * r.NormFloat64()
		}
	}
	return nil
}

// after is the variance of the readings after beside that of those before.
func (o *Outlook) after() float64 { return 1 / o.ask.After }

// row is a lane's part of a draw.
func (o *Outlook) row(all []float64, d int, k *lane) []float64 {
	at := d*o.crown + k.from
	return all[at : at+len(k.x)]
}
