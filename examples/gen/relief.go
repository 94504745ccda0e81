package main

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/relief"
)

// pairOf is the levelled bass neck as it was read strung, its rod set, and slack, the rod
// left alone. It bends 1.2 times as far as the theory says.
func pairOf(dir string) (map[string]string, error) {
	path := filepath.Join(dir, "heron-bass.toml")
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	m, err := neck.Parse(path, data)
	if err != nil {
		return nil, err
	}
	l, err := geometry.New(m)
	if err != nil {
		return nil, err
	}
	n, err := relief.Of(m, l)
	if err != nil {
		return nil, err
	}
	const bends = 1.2
	set := n.Bowed(m.Setup.Relief, m.Setup.ReliefTo, relief.Factor{Mean: bends})
	r := rand.New(rand.NewPCG(34, 9))
	crowns := map[[2]int]float64{}
	for f := 1; f <= m.Scale.Frets; f++ {
		for lane := 1; lane <= l.Strings(); lane++ {
			crowns[[2]int{f, lane}] = l.Shape(float64(lane), []int{f})[0] + 0.003*r.NormFloat64()
		}
	}
	read := func(state string, bow func(f int, lane float64) float64) string {
		var b strings.Builder
		fmt.Fprintf(&b, "# Heron Bass 34, neck B08: invented readings, made by examples/gen. Levelled; the rod set strung and left alone.\n# method = beam\n# unit = mm\n# state = %s\n# by = Mirela\n", state)
		for _, pass := range []string{"a", "b"} {
			fmt.Fprintf(&b, "# pass = %s\nfret,4,3,2,1\n", pass)
			var at, tilt [5]float64
			for lane := range at {
				at[lane], tilt[lane] = 1.2+0.05*r.NormFloat64(), 2e-4*r.NormFloat64()
			}
			for f := 1; f <= m.Scale.Frets; f++ {
				fmt.Fprintf(&b, "%d", f)
				for lane := 4; lane >= 1; lane-- {
					x := l.LaneX(f, float64(lane))
					fmt.Fprintf(&b, ",%.3f", crowns[[2]int{f, lane}]+bow(f, float64(lane))+at[lane]+tilt[lane]*x+0.004*r.NormFloat64())
				}
				fmt.Fprintln(&b)
			}
		}
		return b.String()
	}
	strung := func(f int, lane float64) float64 { return set.Along(lane, []int{f})[0] }
	return map[string]string{
		"heron-bass-strung.csv": read("strung", strung),
		"heron-bass-slack.csv": read("slack", func(f int, lane float64) float64 {
			return strung(f, lane) - bends*n.ByStrings(l.At(f, lane).X)
		}),
	}, nil
}
