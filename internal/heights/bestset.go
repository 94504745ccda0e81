package heights

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/mat"
)

const (
	maxSet     = 3  // suspects believed at once on one fret
	maxTried   = 12 // of those that score best alone
	nearlyTied = 0.98
	tieMargin  = 4.0
)

// bestSet is the set of up to three suspects of a fret that explains most,
// each paid for by its penalty.
func (s *system) bestSet(list []suspect, crit float64) []suspect {
	type one struct {
		suspect
		b, score float64
	}
	var tried []one
	for _, k := range list {
		if score, _ := s.weighed(k); score > 1 {
			b := 0.0
			for i, ri := range k.rows {
				b += k.col[i] * s.left(&s.rows[ri]) / (s.rows[ri].u * s.rows[ri].u)
			}
			tried = append(tried, one{k, b, score})
		}
	}
	sort.SliceStable(tried, func(i, j int) bool {
		return tried[i].score-tried[i].penalty(crit) > tried[j].score-tried[j].penalty(crit)
	})
	tried = tried[:min(len(tried), maxTried)]
	n := len(tried)
	info := mat.NewSymDense(max(n, 1), nil)
	for i := range n {
		for j := i; j < n; j++ {
			info.SetSym(i, j, s.shared(tried[i].suspect, tried[j].suspect))
		}
	}
	var best []int
	most := math.Inf(-1)
	try := func(set ...int) {
		gain := explained(info, set, func(i int) float64 { return tried[i].b })
		for _, i := range set {
			gain -= tried[i].penalty(crit)
		}
		if gain > most+1e-9 {
			best, most = append([]int{}, set...), gain
		}
	}
	for i := range n {
		try(i)
		for j := i + 1; j < n; j++ {
			try(i, j)
			for k := j + 1; k < n; k++ {
				try(i, j, k)
			}
		}
	}
	out := make([]suspect, len(best))
	for i, k := range best {
		out[i] = tried[k].suspect
	}
	return out
}

// explained is bᵀ·S⁻¹·b over a set of suspects; −Inf where they cannot be told
// apart.
func explained(info *mat.SymDense, set []int, b func(int) float64) float64 {
	var l [maxSet][maxSet]float64
	var y [maxSet]float64
	sum := 0.0
	for i, p := range set {
		y[i] = b(p)
		for j, q := range set[:i+1] {
			v := info.At(p, q)
			for k := range j {
				v -= l[i][k] * l[j][k]
			}
			if i == j {
				if v < 1e-6*info.At(p, p) {
					return math.Inf(-1)
				}
				l[i][i] = math.Sqrt(v)
			} else {
				l[i][j] = v / l[j][j]
			}
		}
		for k := range i {
			y[i] -= l[i][k] * y[k]
		}
		y[i] /= l[i][i]
		sum += y[i] * y[i]
	}
	return sum
}

// ambiguous lists the readings that explain as well as the one blamed and
// cannot be told from it; none where the blame is clear.
func (s *system) ambiguous(set []suspect, suspects map[int][]suspect) []int {
	if len(set) != 1 || set[0].kind != misread {
		return nil
	}
	mine := set[0]
	score, info := s.weighed(mine)
	out := []int{s.rows[mine.rows[0]].obs}
	for _, list := range suspects {
		for _, k := range list {
			if k.kind != misread || k.rows[0] == mine.rows[0] {
				continue
			}
			other, infoOther := s.weighed(k)
			if infoOther == 0 || other < score-tieMargin {
				continue
			}
			c := s.shared(mine, k)
			if c*c > nearlyTied*info*infoOther {
				out = append(out, s.rows[k.rows[0]].obs)
			}
		}
	}
	if len(out) == 1 {
		return nil
	}
	sort.Ints(out)
	return out
}
