package main

import (
	"math/rand/v2"
	"strconv"
)

// Scatter of the study's gauge, in mm: of one hand with itself, of hands with
// each other, and of the crowns read.
const (
	studyRepeat = 0.0018
	studyHands  = 0.0011
	studyCrowns = 0.016
)

// gaugeStudy is a crossed study of a bridge gauge: ten crowns, three people,
// each reads each crown three times, in an order shuffled for every round.
func gaugeStudy() string {
	rng := rand.New(rand.NewPCG(10, 33))
	n := &notes{comma: ",", point: "."}
	n.say("Bridge gauge with a 0.001 mm dial on ten crowns of neck 0412, read by three people of the shop, three rounds each.")
	n.row("part", "operator", "trial", "reading", "unit")
	people := []string{"Ines", "Jorun", "Pell"}
	crowns := make([]float64, 10)
	for i := range crowns {
		crowns[i] = studyCrowns * rng.NormFloat64()
	}
	for _, who := range people {
		hand := studyHands * rng.NormFloat64()
		for trial := 1; trial <= 3; trial++ {
			for _, i := range rng.Perm(len(crowns)) {
				v := crowns[i] + hand + studyRepeat*rng.NormFloat64()
				n.row(strconv.Itoa(i+1), who, strconv.Itoa(trial), n.num(v, 0.001), "mm")
			}
		}
	}
	return n.text()
}
