package arrive

import (
	"gonum.org/v1/gonum/mat"

	"ringtrue/internal/straight"
)

// ahead is a lane as the next reading will find it after some filing.
type ahead struct {
	*lane
	result []float64 // crowns less what is planned
	filed  []bool
	weight []float64 // of the next reading beside those before, a crown
	rule   straight.Yardstick
	judged bool // rule holds: there is a covariance
}

// ahead lays a lane out after filing: remove is in the order of the lane as
// given.
func (o *Outlook) ahead(k *lane, remove []float64) *ahead {
	n := len(k.x)
	f := &ahead{lane: k, result: make([]float64, n), filed: make([]bool, n), weight: make([]float64, n)}
	for i, p := range k.at {
		f.result[i] = k.d[i] - remove[p]
		f.filed[i] = remove[p] > 0
		f.weight[i] = 1
		if !o.ask.Alone {
			f.weight[i] = o.weight(k.local[i], f.filed[i])
		}
	}
	f.by(f.fused(o.after(), o.ask.HandMM), o.ask.LimitMM)
	return f
}

// weight is what the next reading of a crown counts beside those before, by its
// errors against its neighbours: the hand's scatter is local too. An estimate
// that weighs otherwise is no surer, and what is stated of this one holds for
// any weights.
func (o *Outlook) weight(local float64, filed bool) float64 {
	before, after := local, local*o.after()
	if filed {
		before += o.ask.HandMM * o.ask.HandMM
	}
	if before+after == 0 {
		return 1 / (1 + o.after())
	}
	return before / (before + after)
}

// fused is the covariance, but for a line, of the readings before and after taken
// together. With K the weights, P what takes line and bow off, q the bow:
//
//	error = q qᵀ·e + K P·e + (K − 1) P·(δ − w),
//
// e, δ and w the errors of the readings after, of those before, and of the hand.
func (f *ahead) fused(after, hand float64) []float64 {
	n, s := len(f.x), f.spread
	cov := make([]float64, n*n)
	byHand := f.handRest(hand)
	for i := range n {
		ki := f.weight[i]
		for j := range n {
			kj := f.weight[j]
			v := (after*ki*kj+(1-ki)*(1-kj))*s.rest[i*n+j] + (1-ki)*(1-kj)*byHand[i*n+j]
			if q := f.free.bow; q != nil {
				v += after * (s.bow*q[i]*q[j] + q[i]*kj*s.with[j] + ki*s.with[i]*q[j])
			}
			cov[i*n+j] = v
		}
	}
	return cov
}

// handRest is the covariance of the hand's scatter without line and bow.
func (f *ahead) handRest(hand float64) []float64 {
	n := len(f.x)
	cov := make([]float64, n*n)
	e := make([]float64, n)
	for c, filed := range f.filed {
		if !filed || hand == 0 {
			continue
		}
		clear(e)
		e[c] = hand
		f.free.rest(e)
		for i, v := range e {
			row := cov[i*n : (i+1)*n]
			for j, w := range e {
				row[j] += v * w
			}
		}
	}
	return cov
}

// by lets the lane be judged with a covariance, as a reading is: level where every
// three crowns lie within the limit, their uncertainty included.
func (f *ahead) by(cov []float64, limit float64) {
	var err error
	f.rule, err = straight.NewYardstick(f.x, mat.NewSymDense(len(f.x), cov), limit)
	f.judged = err == nil
}

// called reports whether draw d of the next reading calls the lane level. z and
// e are room for its crowns.
func (f *ahead) called(o *Outlook, d, place int, z, e []float64) bool {
	clear(e)
	if o.ask.HandMM > 0 {
		for i, v := range o.row(o.hand, d, f.lane) {
			if f.filed[i] {
				e[i] = v
			}
		}
	}
	return f.calledWith(o, d, place, z, e)
}

// calledWith is called for a hand that took so much more than planned off each
// crown; e is written over.
func (f *ahead) calledWith(o *Outlook, d, place int, z, e []float64) bool {
	bow := o.bows[d*len(o.lanes)+place] - f.free.rest(e)
	for i, v := range o.row(o.read, d, f.lane) {
		z[i] = f.result[i] + f.weight[i]*(v-e[i])
	}
	if q := f.free.bow; q != nil {
		for i := range z {
			z[i] += bow * q[i]
		}
	}
	return f.judged && f.rule.Level(z)
}
