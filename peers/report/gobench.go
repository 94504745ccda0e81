package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// metrics are a benchmark's figures by unit, as "ns/op".
type metrics map[string]float64

// goBench runs benchmarks of a package of ringtrue and returns the median of
// each figure. cores is how many they may use; times a -benchtime.
func (r *run) goBench(pkg, which string, cores, count int, time string, env ...string) (map[string]metrics, error) {
	args := []string{"test", "-run", "^$", "-bench", which, "-benchmem", "-cpu", strconv.Itoa(cores), "-count", strconv.Itoa(count), "-benchtime", time, "-timeout", "1h", pkg}
	out, err := r.command(r.root, env, "go", args...)
	if err != nil {
		return nil, err
	}
	found, err := parseBench(out, cores)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", pkg, err)
	}
	if len(found) == 0 {
		return nil, fmt.Errorf("%s: no benchmark %s", pkg, which)
	}
	r.raw = append(r.raw, block{"go test -bench '" + which + "' " + pkg, benchLines(out)})
	return found, nil
}

// benchLines are the lines that hold figures.
func benchLines(out string) string {
	var b strings.Builder
	for line := range strings.Lines(out) {
		if strings.HasPrefix(line, "Benchmark") {
			b.WriteString(line)
		}
	}
	return b.String()
}

// parseBench reads what go test -bench printed: medians by name, without the
// word Benchmark and the number of cores.
func parseBench(out string, cores int) (map[string]metrics, error) {
	all := map[string]map[string][]float64{}
	for line := range strings.Lines(out) {
		f := strings.Fields(line)
		if len(f) < 4 || len(f)%2 != 0 || !strings.HasPrefix(f[0], "Benchmark") {
			continue
		}
		name := strings.TrimPrefix(f[0], "Benchmark")
		if cores > 1 {
			name = strings.TrimSuffix(name, "-"+strconv.Itoa(cores))
		}
		if all[name] == nil {
			all[name] = map[string][]float64{}
		}
		for i := 2; i < len(f); i += 2 {
			v, err := strconv.ParseFloat(f[i], 64)
			if err != nil {
				return nil, fmt.Errorf("%q: %w", strings.TrimSpace(line), err)
			}
			all[name][f[i+1]] = append(all[name][f[i+1]], v)
		}
	}
	medians := map[string]metrics{}
	for name, units := range all {
		medians[name] = metrics{}
		for unit, v := range units {
			medians[name][unit] = median(v)
		}
	}
	return medians, nil
}

// median of one or more numbers.
func median(v []float64) float64 {
	s := slices.Sorted(slices.Values(v))
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}

// of is one figure of one benchmark.
func of(found map[string]metrics, name, unit string) (float64, error) {
	v, ok := found[name][unit]
	if !ok {
		return 0, fmt.Errorf("benchmark %s gave no %s", name, unit)
	}
	return v, nil
}
