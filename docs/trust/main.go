package main

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"ringtrue/internal/trial"
)

// asked is what the command line asks for.
type asked struct {
	class, write        string
	print, blame, hands bool
	plan                trial.Plan
}

func main() {
	var a asked
	flag.StringVar(&a.class, "class", "", "`CLASS` or classes, by comma; all: the further ones too (default those of the page)")
	flag.StringVar(&a.write, "write", "", "write the first neck and its readings into `DIR`, and judge nothing")
	flag.BoolVar(&a.print, "print", false, "print the table, leave docs/trust.md alone")
	flag.BoolVar(&a.blame, "blame", false, "with -print: list false findings and the worst necks")
	flag.IntVar(&a.plan.Necks, "necks", 200, "necks a class")
	flag.Uint64Var(&a.plan.Seed, "seed", 1, "seed of the first neck")
	flag.IntVar(&a.plan.Passes, "passes", 2, "passes a lane")
	flag.BoolVar(&a.hands, "hands", false, "file necks by their moves instead, print what came of it")
	um := flag.Float64("u", 0, "standard uncertainty of a beam's reading, µm; 0: 5")
	round := flag.Float64("round", 0, "round readings to so many µm; 0: not at all")
	flag.Parse()
	a.plan.UMM, a.plan.RoundMM, a.plan.Judge = *um/1000, *round/1000, judge
	if err := run(os.Stdout, a); err != nil {
		fmt.Fprintln(os.Stderr, "trust:", err)
		os.Exit(1)
	}
}

func run(out io.Writer, a asked) error {
	classes, err := chosen(a.class)
	if err != nil {
		return err
	}
	if a.hands {
		return hands(out, classes, a)
	}
	if a.write != "" {
		return write(classes[0], a)
	}
	totals := make([]trial.Total, 0, len(classes))
	var faults []error // a class that cannot be judged leaves the others to be looked at
	for _, c := range classes {
		scores, err := c.Run(context.Background(), a.plan)
		if err != nil {
			faults = append(faults, err)
			continue
		}
		totals = append(totals, trial.Together(c, scores))
	}
	if fault := errors.Join(faults...); fault != nil && !a.print {
		return fault
	}
	var made bytes.Buffer
	if err := trial.Table(&made, totals); err != nil {
		return err
	}
	made.WriteString("\n" + trial.Averaging(totals))
	if !a.print {
		return into(filepath.Join("docs", "trust.md"), marks{from, to}, made.String(), a, "")
	}
	if a.blame {
		blame(&made, totals)
	}
	_, err = made.WriteTo(out)
	return errors.Join(append(faults, err)...)
}

// hands writes what came of filing by moves into its place on the page, or out.
func hands(out io.Writer, classes []trial.Class, a asked) error {
	var made bytes.Buffer
	if err := runHands(&made, classes, a); err != nil {
		return err
	}
	if a.print {
		_, err := made.WriteTo(out)
		return err
	}
	how := " -hands"
	if a.class != "" {
		how += " -class " + a.class
	}
	return into(filepath.Join("docs", "trust.md"), handsMarks(), made.String(), a, how)
}

// chosen are the classes of a list.
func chosen(list string) ([]trial.Class, error) {
	var out []trial.Class
	if list == "" || list == "all" {
		for _, c := range trial.Classes() {
			if c.Main || list == "all" {
				out = append(out, c)
			}
		}
		return out, nil
	}
	for name := range strings.SplitSeq(list, ",") {
		c, err := trial.ClassOf(name)
		if err != nil {
			return nil, err
		}
		out = append(out, c)
	}
	return out, nil
}

// blame lists what a table only counts.
func blame(w io.Writer, totals []trial.Total) {
	for _, t := range totals {
		fmt.Fprintf(w, "\n%s: worst against averaging %.2f, seed %d; kinds right %v\n",
			t.Class.Name, t.RatioWorst, t.RatioSeed, t.Sum.Kinds)
		for _, b := range append(t.Sum.Blamed, t.Sum.FalseWork...) {
			fmt.Fprintf(w, "  %s\n", b)
		}
	}
}

// write writes the first neck of a class as the two files that the program reads.
func write(c trial.Class, a asked) error {
	n, err := c.Draw(a.plan.Seed, a.plan.Options)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(a.write, 0o755); err != nil {
		return err
	}
	stem := filepath.Join(a.write, fmt.Sprintf("%s-%d", c.Name, a.plan.Seed))
	var b bytes.Buffer
	if err := n.WriteReadings(&b); err != nil {
		return err
	}
	if err := os.WriteFile(stem+".csv", b.Bytes(), 0o644); err != nil {
		return err
	}
	return os.WriteFile(stem+".toml", []byte(n.File), 0o644)
}

// The table stands between these lines of the page.
const (
	from = "<!-- table of ./docs/trust: from here -->\n"
	to   = "<!-- table of ./docs/trust: to here -->\n"
)

var errNoPlace = errors.New("the page has no place for the table")

// marks are the lines between which a table stands.
type marks struct{ from, to string }

func handsMarks() marks {
	return marks{"<!-- table of ./docs/trust -hands: from here -->\n", "<!-- table of ./docs/trust -hands: to here -->\n"}
}

// into writes what was made into the page.
func into(path string, m marks, made string, a asked, how string) error {
	page, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	p := a.plan
	made = fmt.Sprintf("`go run ./docs/trust%s -necks %d -seed %d -passes %d`:\n\n%s", how, p.Necks, p.Seed, p.Passes, made)
	text, err := placed(string(page), m, made)
	if err != nil {
		return err
	}
	return os.WriteFile(path, []byte(text), 0o644)
}

// placed is the page with the table in its place.
func placed(page string, m marks, made string) (string, error) {
	before, rest, found := strings.Cut(page, m.from)
	_, after, ended := strings.Cut(rest, m.to)
	if !found || !ended {
		return "", errNoPlace
	}
	return before + m.from + "\n" + made + "\n" + m.to + after, nil
}
