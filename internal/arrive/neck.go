package arrive

import (
	"errors"
	"fmt"
	"math"

	"ringtrue/internal/level"
)

// Neck is what readings say of a neck before any filing.
type Neck struct {
	Lanes []level.Lane // crowns less the shape, mm; each lane up to a line
	// Cov is the covariance, in mm², of the errors of crown i of lane a and crown
	// j of lane b: places in Lanes and in the lane.
	Cov func(a, i, b, j int) float64
	Out []int // frets that are seen to first: they lose no metal and bind no lane
}

// Ask is what the work is planned for.
type Ask struct {
	LimitMM float64 // the zone that every lane shall keep
	HandMM  float64 // standard deviation of what a hand takes off a crown, about what was planned
	After   float64 // passes of the next reading for each one before; 0: 1
	Alone   bool    // the next reading is judged without those before
	// BowFree says that the rod or the strings may be set otherwise at the next
	// reading: the readings before then say nothing of a lane's bow.
	BowFree bool
	Seed    uint64
}

// What can be wrong with a neck to plan for; errors wrap one of these or one of
// package level's.
var (
	ErrCovariance = errors.New("no covariance of these crowns")
	ErrAsk        = errors.New("a limit, a hand or a number of passes that cannot be")
)

// lane is one lane's crowns without the frets that are out.
type lane struct {
	x, d   []float64
	at     []int     // places in the lane as given
	from   int       // its first crown among all
	cov    []float64 // n × n, of the readings before
	local  []float64 // variance of each crown against its neighbours, as of independent errors
	free   basis
	spread spread // of what the readings before say but for line and bow
}

// gather takes the lanes apart; lanes of fewer than three crowns bind nothing and
// are left out.
func (n Neck) gather() ([]lane, error) {
	out := map[int]bool{}
	for _, f := range n.Out {
		out[f] = true
	}
	var lanes []lane
	from := 0
	for a, l := range n.Lanes {
		var k lane
		for i, f := range l.Frets {
			if !out[f] {
				k.x, k.d, k.at = append(k.x, l.X[i]), append(k.d, l.D[i]), append(k.at, i)
			}
		}
		if len(k.x) < 3 {
			lanes = append(lanes, lane{})
			continue
		}
		k.from = from
		from += len(k.x)
		if err := k.uncertain(n, a); err != nil {
			return nil, fmt.Errorf("lane %v: %w", l.Lane, err)
		}
		lanes = append(lanes, k)
	}
	return lanes, nil
}

// uncertain fills in the lane's covariance and what follows from it.
func (k *lane) uncertain(n Neck, a int) error {
	m := len(k.x)
	k.cov = make([]float64, m*m)
	for i, p := range k.at {
		for j, q := range k.at[:i+1] {
			v := n.Cov(a, p, a, q)
			if v-v != 0 || i == j && v < 0 {
				return fmt.Errorf("%w: fret %d", ErrCovariance, n.Lanes[a].Frets[p])
			}
			k.cov[i*m+j], k.cov[j*m+i] = v, v
		}
	}
	k.local = make([]float64, m)
	for i := 1; i+1 < m; i++ {
		w := (k.x[i+1] - k.x[i]) / (k.x[i+1] - k.x[i-1])
		k.local[i] = k.contrast(k.cov, i-1, i, i+1, w) / (1 + w*w + (1-w)*(1-w))
	}
	k.local[0], k.local[m-1] = k.local[1], k.local[m-2]
	return nil
}

// contrast is the variance of crown c less the line from crown i to crown j,
// w being the weight of crown i.
func (k *lane) contrast(cov []float64, i, c, j int, w float64) float64 {
	m, v := len(k.x), 1-w
	s := cov[c*m+c] + w*w*cov[i*m+i] + v*v*cov[j*m+j]
	s += 2 * (w*v*cov[i*m+j] - w*cov[i*m+c] - v*cov[c*m+j])
	return math.Max(0, s)
}

// size is the number of crowns in all lanes.
func size(lanes []lane) int {
	n := 0
	for i := range lanes {
		n += len(lanes[i].x)
	}
	return n
}
