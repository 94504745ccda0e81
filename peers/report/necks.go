package main

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
)

// writeNeck writes an invented neck of some frets and strings and a reading of
// every crown in each of some passes: frets that sit well but for every eighth
// or so, read by a beam with a scatter of 4 µm. Strings come in courses of the
// Heron's six.
func (r *run) writeNeck(frets, courses, passes int) (neckFile, readings string, err error) {
	heron, err := os.ReadFile(filepath.Join(r.root, "examples", "heron.toml"))
	if err != nil {
		return "", "", err
	}
	text, err := neckText(string(heron), frets, courses)
	if err != nil {
		return "", "", err
	}
	stem := filepath.Join(r.build, fmt.Sprintf("neck-%dx%dx%d", frets, courses, passes))
	neckFile, readings = stem+".toml", stem+".csv"
	if err := os.WriteFile(neckFile, []byte(text), 0o600); err != nil {
		return "", "", err
	}
	return neckFile, readings, os.WriteFile(readings, []byte(readingsText(frets, courses, passes)), 0o600)
}

// neckText makes the Heron's neck file one of other frets and strings. Beyond
// 36 frets the octave has 24, so that the wires still fit beside each other.
func neckText(heron string, frets, count int) (string, error) {
	divisions := 12
	if frets > 36 {
		divisions = 24
	}
	var out []string
	var set []string
	for line := range strings.Lines(heron) {
		line = strings.TrimRight(line, "\n")
		switch t := strings.TrimSpace(line); {
		case strings.HasPrefix(t, "frets ="):
			line = fmt.Sprintf("frets = %d", frets)
		case strings.HasPrefix(t, "divisions ="):
			line = fmt.Sprintf("divisions = %d", divisions)
		case strings.HasPrefix(t, "fall_away ="):
			continue // its place depends on the number of frets
		case strings.HasPrefix(t, "{ pitch ="):
			set = append(set, line)
			continue
		case t == "]" && len(set) > 0:
			for i := range count {
				out = append(out, set[i*len(set)/count])
			}
			set = nil
		}
		out = append(out, line)
	}
	text := strings.Join(out, "\n") + "\n"
	if n := strings.Count(text, "{ pitch ="); n != count || !strings.Contains(text, fmt.Sprintf("frets = %d\n", frets)) {
		return "", fmt.Errorf("the example neck has another form: %d strings", n)
	}
	return text, nil
}

func readingsText(frets, lanes, passes int) string {
	rnd := rand.New(rand.NewPCG(uint64(frets), uint64(lanes)))
	whole, tilt := make([]float64, frets+1), make([]float64, frets+1)
	for f := range whole {
		whole[f], tilt[f] = 0.01*rnd.NormFloat64(), 0.01*rnd.NormFloat64()
		if rnd.IntN(8) == 0 {
			whole[f] += 0.06 * rnd.NormFloat64()
		}
	}
	var b strings.Builder
	b.WriteString("method,lane,fret,reading,unit,pass,u\n")
	for lane := 1; lane <= lanes; lane++ {
		for pass := 1; pass <= passes; pass++ {
			for f := 1; f <= frets; f++ {
				across := float64(lane-1)/float64(max(1, lanes-1)) - 0.5
				v := 0.4 + whole[f] + tilt[f]*across + 0.004*rnd.NormFloat64()
				fmt.Fprintf(&b, "beam,%d,%d,%.3f,mm,%d,0.004\n", lane, f, v, pass)
			}
		}
	}
	return b.String()
}
