package main

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// peers runs one driver of this module and reads the lines it saved. What it
// printed is kept; an error of its own comes after its lines.
func peers[L any](r *run, driver string, tools []string, flags ...string) ([]L, error) {
	file := filepath.Join(r.build, driver+".json")
	out, failed := r.command(filepath.Join(r.root, "peers"), nil, "./run.sh", append([]string{driver, "-json", file}, flags...)...)
	if out != "" {
		r.raw = append(r.raw, block{"peers/run.sh " + driver, out})
	}
	text, err := os.ReadFile(file)
	if err != nil {
		if m := missing(tools); m != "" {
			return nil, fmt.Errorf("needs %s, which could not be installed", m)
		}
		return nil, failed
	}
	var lines []L
	if err := json.Unmarshal(text, &lines); err != nil {
		return nil, err
	}
	return lines, failed
}

// missing are the programs and files that are not there.
func missing(tools []string) string {
	var not []string
	for _, t := range tools {
		_, err := exec.LookPath(t)
		if strings.HasPrefix(t, "/") {
			_, err = os.Stat(t)
		}
		if err != nil {
			not = append(not, filepath.Base(t))
		}
	}
	return strings.Join(not, ", ")
}

// levelling compares levelling's mathematics with general solvers.
func levelling(r *run) error {
	type line struct {
		Work, Peer                              string
		TheirsUS, OursUS, DifferMM, WantedRatio float64
		LeftOutOrDiffering                      string
	}
	lines, failed := peers[line](r, "levelling", []string{"gcc", "glpsol", "/usr/include/glpk.h", python()},
		"-lanes", strconv.Itoa(r.some(1200, 200)), "-necks", strconv.Itoa(r.some(8, 1)))
	worst := 0.0
	for _, l := range lines {
		if l.LeftOutOrDiffering != "" {
			r.leftOut("levelling: %s", l.LeftOutOrDiffering)
			continue
		}
		worst = max(worst, l.DifferMM)
		r.against(l.Work, l.Peer, l.OursUS*1e-6, l.TheirsUS*1e-6, l.WantedRatio)
	}
	if len(lines) > 0 {
		r.atMost("levelling's answers, ours less the peers', the largest", worst, 1e-9, func(mm float64) string { return fmt.Sprintf("%.1g mm", mm) })
	}
	return failed
}

// contactLine is one program's times on one touch.
type contactLine struct {
	Touch, Program    string
	Seconds, One, Two float64
	Touched, Differ   int
}

// contact compares the contact run with stepwise programs.
func contact(r *run) error {
	touches := "light,firm,hard"
	if r.quick {
		touches = "firm"
	}
	lines, failed := peers[contactLine](r, "contact", []string{"g++"}, "-touches", touches, "-rounds", strconv.Itoa(r.some(5, 1)))
	differ := 0
	for _, touch := range strings.Split(touches, ",") {
		of := slices.DeleteFunc(slices.Clone(lines), func(l contactLine) bool { return l.Touch != touch })
		contactTouch(r.report, touch, of)
		for _, l := range of {
			differ += l.Differ
		}
	}
	if len(lines) > 0 {
		r.none("notes whose touched frets, first step or impulse (1e-8) differ from the stepwise run", differ)
	}
	return failed
}

// contactTouch gives the ratios of one touch: plain Go, the vector code that
// ringtrue takes on this processor, two cores.
func contactTouch(r *report, touch string, lines []contactLine) {
	var plain, cpp, own, best *contactLine
	for i := range lines {
		l := &lines[i]
		switch {
		case strings.HasPrefix(l.Program, "Go,"):
			plain = l
		case strings.Contains(l.Program, "fast-math"):
			if cpp == nil || l.Seconds < cpp.Seconds {
				cpp = l
			}
		case strings.HasPrefix(l.Program, "ringtrue, plain"):
			own = l
		case strings.HasPrefix(l.Program, "ringtrue,"):
			best = l // they come in the order in which ringtrue prefers them, the last most
		}
	}
	if plain == nil || own == nil || cpp == nil {
		return
	}
	what := "contact run, 144 notes, " + touch + ", one core: "
	r.against(what+"plain Go", "plain stepwise Go", own.Seconds, plain.Seconds, 4.5)
	if best == nil {
		r.leftOut("contact run, %s: no vector code for this processor", touch)
		best = own
	} else {
		vector := strings.TrimPrefix(best.Program, "ringtrue, ")
		r.against(what+vector, "plain stepwise Go", best.Seconds, plain.Seconds, 15)
		r.against(what+vector, "g++ -O3 -march=native -ffast-math, stepwise,", best.Seconds, cpp.Seconds, 6)
	}
	met := best.One/best.Two >= 1.7
	r.add("contact run, "+touch+": two cores beside one", seconds(best.Two), "one core "+seconds(best.One), times(best.One/best.Two), "at least 1.7 ×", &met)
}
