package hand

import (
	"math"

	"ringtrue/internal/filing"
)

// Eye is how deep a hand's flats end beside what their widths say, in log of the depth:
// its mean and the scatter about it.
type Eye struct {
	Spots, Necks int
	Bias, U      float64
	SD           float64
	WidthMM      float64 // of the flats, on average
}

// Least numbers of flats for a correction, and of flats and necks for a scatter.
const (
	minFlats      = 4
	minForScatter = 8
	minEyeNecks   = 3
	keenestMM     = 0.01 // no eye is better: a loupe of ten times with a scale, from memory
)

// LearnEye finds the bias and the scatter of the flats of some necks: depth = depth
// by width × exp(bias + scatter). The depths weigh by their uncertainty and the
// scatter, small and negative ones too; the scatter is that which makes the weighed
// squares as many as they should be (R. C. Paule and J. Mandel, 1982, J. Res. NBS 87).
func LearnEye(necks [][]Spot) Eye {
	var e Eye
	var of, u []float64 // depth over what the flat says, and its u
	for _, n := range necks {
		before := len(of)
		for _, s := range n {
			d := s.FlatDepth()
			if d > 0 && s.UMM > 0 {
				of, u = append(of, s.DepthMM/d), append(u, s.UMM/d)
				e.WidthMM += s.FlatMean()
			}
		}
		if len(of) > before {
			e.Necks++
		}
	}
	if e.Spots = len(of); e.Spots == 0 {
		return e
	}
	e.WidthMM /= float64(e.Spots)
	low, high := 0.0, 3.0
	if squares(of, u, low) > float64(e.Spots-1) {
		for range 60 {
			if e.SD = (low + high) / 2; squares(of, u, e.SD) > float64(e.Spots-1) {
				low = e.SD
			} else {
				high = e.SD
			}
		}
	}
	// Of few flats the scatter itself is not known: no less than a usual eye's.
	if e.Spots < minForScatter {
		e.SD = max(e.SD, 2*filing.UsualScatter().EyeMM/e.WidthMM)
	}
	m, weight := middle(of, u, e.SD)
	// The mean of exp(scatter) is exp(sd²/2).
	e.Bias, e.U = math.Log(max(m, 0.05))-e.SD*e.SD/2, 1/math.Sqrt(weight)/max(m, 0.05)
	return e
}

// middle is the weighed mean of ratios whose scatter is sd of the mean itself.
func middle(of, u []float64, sd float64) (m, weight float64) {
	m = 1
	for range 50 {
		sum := 0.0
		weight = 0
		for i := range of {
			w := 1 / (u[i]*u[i] + sd*sd*m*m)
			weight, sum = weight+w, sum+w*of[i]
		}
		m = max(sum/weight, 0.05)
	}
	return m, weight
}

// squares are the weighed squares about the mean.
func squares(of, u []float64, sd float64) (sum float64) {
	m, _ := middle(of, u, sd)
	for i := range of {
		sum += (of[i] - m) * (of[i] - m) / (u[i]*u[i] + sd*sd*m*m)
	}
	return sum
}

// Sure says that the bias is more than chance: over two standard errors, of four
// flats or more.
func (e Eye) Sure() bool { return e.Spots >= minFlats && math.Abs(e.Bias) > 2*e.U }

// Deeper is how many times deeper than planned flats end, as far as that is sure; else
// 1.
func (e Eye) Deeper() float64 {
	if !e.Sure() {
		return 1
	}
	return math.Exp(e.Bias)
}

// ScatterMM is the scatter of a width seen, where enough flats tell it: u(d)/d is
// twice u(w)/w.
func (e Eye) ScatterMM() (mm float64, known bool) {
	if e.Spots < minForScatter || e.Necks < minEyeNecks {
		return 0, false
	}
	return max(keenestMM, e.SD*e.WidthMM/2), true
}
