package heights

import "math"

// What is believed of a fret before its readings, in µm: its crowns follow a
// curve from edge to edge, with grooves and burrs in single lanes. The numbers
// were chosen on necks drawn at random whose truth is known.
const (
	offsetUM   = 150.0 // a fret's height as a whole
	dentSpread = 14.0
)

// kind is a way in which a fret may lie.
type kind int8

const (
	usual  kind = iota // seated like its neighbours
	seat               // an end up or down, the whole fret high or low
	arch               // curves more or less than the board
	rough              // worn or dressed unevenly: lanes help each other less
	freely             // lanes hardly help each other
	wild               // lanes do not help: own averages
	kinds
)

// shapeOf is a kind's chance and its scatters: of tilt, of arch, and of the
// slope change from lane to lane, in µm. The usual tilt is learned.
type shapeOf struct{ chance, tilt, arch, bend float64 }

func shapes() [kinds]shapeOf {
	return [kinds]shapeOf{
		usual:  {0.73, usualTilt, 0, 0},
		seat:   {0.06, 60, 0, 0},
		arch:   {0.03, 60, 15, 0},
		rough:  {0.15, usualTilt, 0, 9},
		freely: {0.02, 60, 0, 20},
		wild:   {0.01, 60, 0, 80},
	}
}

// The tilt of usual frets, learned between its bounds from this start.
const (
	usualTilt    = 8.0
	usualTiltMin = 4.0
	usualTiltMax = 40.0
)

// lanesPrior is the geometry of the curves of one set of lanes.
type lanesPrior struct {
	t     []float64 // place across, −1 to 1
	q     []float64 // t² − 1/2
	hinge []float64 // n × n: Σ c·cᵀ over the inner lanes
}

// laneSpacing is the distance in t of six lanes over the full spread.
const laneSpacing = 0.4

// newLanesPrior lays out the curves over lanes at ascending or descending t.
func newLanesPrior(t []float64) lanesPrior {
	n := len(t)
	p := lanesPrior{t: t, q: make([]float64, n), hinge: make([]float64, n*n)}
	for i, v := range t {
		p.q[i] = v*v - 0.5
	}
	c := make([]float64, n)
	for k := 1; k+1 < n; k++ {
		spacing := math.Abs(t[k+1]-t[k-1]) / 2
		scale := math.Sqrt(spacing/laneSpacing) / laneSpacing
		up := math.Copysign(1, t[n-1]-t[0])
		for i, v := range t {
			c[i] = scale * math.Max(0, up*(v-t[k]))
		}
		takeLine(t, c)
		for i := range n {
			for j := range n {
				p.hinge[i*n+j] += c[i] * c[j]
			}
		}
	}
	return p
}

// takeLine takes the least-squares line over t off c.
func takeLine(t, c []float64) {
	var st, stt, sc, sct float64
	n := float64(len(t))
	for i, v := range t {
		st, stt, sc, sct = st+v, stt+v*v, sc+c[i], sct+v*c[i]
	}
	det := n*stt - st*st
	if det <= 0 {
		return
	}
	slope := (n*sct - st*sc) / det
	at := (sc - slope*st) / n
	for i, v := range t {
		c[i] -= at + slope*v
	}
}

// scales are what is learned of a neck's frets.
type scales struct {
	offset  float64
	typical float64 // how far frets usually lie off their lanes' lines; 0: not known
	tilt    float64 // of usual and rough frets
	tau     float64 // of the slope change from lane to lane
	chance  [kinds]float64
}

func firstScales() scales {
	s := scales{offset: offsetUM, tilt: usualTilt, tau: tauMedian}
	for k, v := range shapes() {
		s.chance[k] = v.chance
	}
	return s
}

// curve fills cov, n × n, with the prior covariance of a fret of one kind.
func (p *lanesPrior) curve(k kind, s *scales, cov []float64) {
	v := shapes()[k]
	if k == usual || k == rough {
		v.tilt = s.tilt
	}
	o, a, b, h := s.offset*s.offset, v.tilt*v.tilt, v.arch*v.arch, s.tau*s.tau+v.bend*v.bend
	n := len(p.t)
	for i := range n {
		for j := range n {
			cov[i*n+j] = o + a*p.t[i]*p.t[j] + b*p.q[i]*p.q[j] + h*p.hinge[i*n+j]
		}
	}
}

// A dent is a groove, worn or struck, of one of two depths, or a burr.
type dent int8

const (
	noDent dent = iota
	shallow
	deep
	burr
	dents
)

type depthOf struct{ share, mean, sd float64 }

func depths() [dents]depthOf {
	return [dents]depthOf{
		noDent:  {1, 0, 0},
		shallow: {0.35, -18, dentSpread},
		deep:    {0.65, -60, 40},
		burr:    {1, 50, 50},
	}
}

// Chances of single crowns and readings.
const (
	grooveChance     = 0.012 // of a crown read twice or more
	grooveChanceOnce = 1e-4  // of one read once: a lone deviation is a reading to take again
	burrChance       = 2e-4
	burrChanceOnce   = 1e-5
	misreadChance    = 0.006
	agreedTop        = 0.05   // of misreadChance: of a probe's top that its touches agree on
	misreadRange     = 1000.0 // µm over which a misread may lie
)
