package wear

import "math"

// What is believed before the readings. Conventions, as nobody has counted how
// often crowns wear and frets move; TestCompare_Patches and its neighbours show
// what comes of them.
const (
	wornChance   = 0.3 // of a crown, before its neighbours are asked
	liftedChance = 0.005
	movedChance  = 0.005 // of a fret, each: alike in every lane, and by one end

	wornMeanMM, wornSDMM     = -0.03, 0.02
	liftedMeanMM, liftedSDMM = 0.05, 0.05
	shiftSDMM, tiltSDMM      = 0.08, 0.10
)

// How much a neighbour's wear counts for a crown's, against ownWeight for none:
// strings wear patches.
const (
	ownWeight   = 2.0
	stillWeight = 0.5 // of a neighbour that did not change: patches have holes
	maxChance   = 0.5 // that the neighbours alone may give
	farFrets    = 3.0 // at which a neighbour counts 1/e
	farLanes    = 2.0
	farthest    = 4.0 // no neighbour counts less than e to the minus this
	movedBeside = 4.0 // times likelier, a fret whose neighbour moved
)

// kind is what one crown did by itself.
type kind int8

const (
	still  kind = iota
	wore        // went down in its own lane
	lifted      // went up in its own lane
)

// slab is how far a crown of a kind goes.
func slab(k kind) (mean, variance float64) {
	if k == wore {
		return wornMeanMM, wornSDMM * wornSDMM
	}
	return liftedMeanMM, liftedSDMM * liftedSDMM
}

// neighbour is a crown near another.
type neighbour struct {
	lane, at int
	weight   float64
}

// neighbours lists the crowns whose wear makes each likelier to be worn.
func (n *neck) neighbours() [][][]neighbour {
	out := make([][][]neighbour, len(n.lanes))
	for i, l := range n.lanes {
		for at, f := range l.frets {
			var list []neighbour
			for j, other := range n.lanes {
				for k, g := range other.frets {
					frets, lanes := float64(g-f)/farFrets, (other.lane-l.lane)/farLanes
					if far := frets*frets + lanes*lanes; far < farthest && (i != j || k != at) {
						list = append(list, neighbour{j, k, math.Exp(-far)})
					}
				}
			}
			out[i] = append(out[i], list)
		}
	}
	return out
}

// odds are ln of the odds that a crown is worn, and that it is lifted, as its
// neighbours are.
func (s *sampler) odds(lane, at int) [2]float64 {
	worn, raised, all := ownWeight*wornChance, ownWeight*liftedChance, ownWeight
	for _, k := range s.near[lane][at] {
		all += stillWeight * k.weight
		switch s.lanes[k.lane].was[k.at] {
		case wore:
			worn += k.weight
		case lifted:
			raised += k.weight
		}
	}
	p, q := min(worn/all, maxChance), min(raised/all, maxChance)
	return [2]float64{math.Log(p / (1 - p)), math.Log(q / (1 - q))}
}

// movedChance is the chance before the readings that a fret moved, each way: a
// neighbour that moved makes it likelier.
func (s *sampler) movedChance(f int) float64 {
	p := movedChance
	for _, k := range []int{f - 1, f + 1} {
		if k >= 0 && k < len(s.moves) && s.moves[k].how != stays {
			p *= movedBeside
		}
	}
	return p
}
