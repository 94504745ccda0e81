package readplan

import (
	"errors"
	"runtime"
	"slices"
	"sort"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/mat"
)

// How choices are weighed.
const (
	// Draws to put choices in order, and those to say what the chosen ones promise.
	roughDraws = 48
	fineDraws  = 300
	// A choice must take away this part of the doubt that the best one takes: what is
	// quick and tells little is no answer.
	minPart = 0.5
	// So it must settle this part as often as the one that settles most.
	minSure = 1.0 / 3
	// A gauge that the shop has not shown to have counts for this much less.
	foreign = 0.5
	// A further choice is listed where it settles this much more often.
	better = 0.1
	// Where the first choice settles as often as this, none is listed by a foreign gauge.
	likely = 0.5
)

// Best lists what to read next: first what takes away most doubt a minute, then, up
// to most in all, what takes longer and settles more. before are sets that will be
// taken in any case. Errors as of Doubt.After.
func (d Doubt) Best(gauges []Gauge, before []Set, t Times, most int) ([]Choice, error) {
	if len(d.Open) == 0 || most < 1 {
		return nil, nil
	}
	fine := d.truths(fineDraws)
	rough := mat.DenseCopyOf(fine.Slice(0, roughDraws, 0, len(d.HeightMM)))
	now := Outlook{Doubt: float64(len(d.Open))}
	if len(before) > 0 {
		var err error
		if now, err = d.after(rough, before); err != nil {
			return nil, err
		}
	}
	var all []Choice
	for _, g := range gauges {
		for _, s := range d.candidates(g) {
			all = append(all, Choice{Sets: []Set{s}, Own: g.Own, Minutes: s.Minutes(t)})
		}
	}
	if err := d.weigh(all, rough, before); err != nil {
		return nil, err
	}
	var out []Choice
	picked := pick(all, now.Doubt, most)
	if err := d.weigh(picked, fine, before); err != nil {
		return nil, err
	}
	for _, c := range picked {
		if len(out) == 0 || c.Settles > out[len(out)-1].Settles+better/2 {
			out = append(out, c)
		}
	}
	return out, nil
}

// weigh works out what each choice promises, on all processors.
func (d Doubt) weigh(all []Choice, truths *mat.Dense, before []Set) error {
	faults := make([]error, len(all))
	var running errgroup.Group
	running.SetLimit(runtime.GOMAXPROCS(0))
	for i := range all {
		running.Go(func() error {
			all[i].Outlook, faults[i] = d.after(truths, slices.Concat(before, all[i].Sets))
			return nil
		})
	}
	_ = running.Wait()
	return errors.Join(faults...)
}

// pick chooses the best, and after it those that settle more.
func pick(all []Choice, doubtNow float64, most int) []Choice {
	largest, surest := 0.0, 0.0
	for _, c := range all {
		largest, surest = max(largest, doubtNow-c.Doubt), max(surest, c.Settles)
	}
	worth := func(c Choice) float64 {
		w := (doubtNow - c.Doubt) / c.Minutes
		if !c.Own {
			w *= foreign
		}
		return w
	}
	all = slices.DeleteFunc(slices.Clone(all), func(c Choice) bool { return doubtNow-c.Doubt < minPart*largest || c.Settles < minSure*surest })
	sort.SliceStable(all, func(i, j int) bool { return worth(all[i]) > worth(all[j]) })
	var out []Choice
	for _, c := range all {
		if len(out) == 0 || len(out) < most && c.Settles >= out[len(out)-1].Settles+better && (c.Own || out[0].Settles < likely) {
			out = append(out, c)
		}
	}
	return out
}
