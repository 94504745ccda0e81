package main

import (
	"fmt"
	"io"
	"regexp"
	"strings"
	"time"
)

// report is the page as it grows.
type report struct {
	machine []string
	figures []figure
	growth  []table
	part    string // that is being run
	raw     []block
	left    []string
	took    []string
	hide    []string // folders of this machine
	quickly bool
	date    string
	all     time.Duration
}

// figure is one row of the first table. Met is nil where nothing is asked for.
type figure struct {
	what, ours, peer, ratio, wanted string
	met                             *bool
	part                            string
}

type table struct {
	title string
	head  []string
	rows  [][]string
}

// block is printed as a program printed it.
type block struct{ title, text string }

func (r *report) leftOut(format string, args ...any) {
	r.left = append(r.left, r.plain(fmt.Sprintf(format, args...)))
}

// add adds a row to the part that is being run.
func (r *report) add(what, ours, peer, ratio, wanted string, met *bool) {
	r.figures = append(r.figures, figure{what, ours, peer, ratio, wanted, met, r.part})
}

// atMost is a figure that stays under a limit, in the unit of limit and value.
func (r *report) atMost(what string, value, limit float64, unit func(float64) string) {
	met := value <= limit
	r.add(what, unit(value), "–", "–", "under "+unit(limit), &met)
}

// none is a count that has to be 0.
func (r *report) none(what string, count int) {
	met := count == 0
	r.add(what, fmt.Sprint(count), "–", "–", "none", &met)
}

// atLeast is a rate that reaches a limit.
func (r *report) atLeast(what string, value, limit float64, unit func(float64) string) {
	met := value >= limit
	r.add(what, unit(value), "–", "–", "at least "+unit(limit), &met)
}

// against is ours beside a peer's time; wanted is how many times quicker ours
// has to be, 0 where nothing is asked for.
func (r *report) against(what, peer string, ours, theirs, wanted float64) {
	theirsText, ratio := peer+" "+seconds(theirs), times(theirs/ours)
	if wanted == 0 {
		r.add(what, seconds(ours), theirsText, ratio, "–", nil)
		return
	}
	met := theirs/ours >= wanted
	r.add(what, seconds(ours), theirsText, ratio, "at least "+times(wanted), &met)
}

// pathsAndHosts are what a page of one machine must not carry away.
var pathsAndHosts = regexp.MustCompile(`[a-z]+://\S+|(^|[\s"'=(:])/[\w.+-]+(/[\w.+-]+)+|\b\d+\.\d+\.\d+\.\d+\b`)

// plain takes folders and addresses of this machine out of a text.
func (r *report) plain(text string) string {
	for _, h := range r.hide {
		text = strings.ReplaceAll(text, h+"/", "")
		text = strings.ReplaceAll(text, h, ".")
	}
	return pathsAndHosts.ReplaceAllStringFunc(text, func(found string) string {
		if strings.Contains(found, "://") || !strings.Contains(found, "/") {
			return "(address)"
		}
		lead := found[:strings.IndexByte(found, '/')]
		return lead + found[strings.LastIndexByte(found, '/')+1:]
	})
}

// write writes the page as Markdown.
func (r *report) write(w io.Writer) error {
	var b strings.Builder
	fmt.Fprint(&b, "# How fast\n\n")
	fmt.Fprint(&b, "Written by `make benchmarks`; not by hand. Every peer is a program of its own that worked on the same inputs in the same run, and its\nanswers were compared with ours. Times differ from machine to machine; ratios less so.\n\n")
	if r.quickly {
		fmt.Fprint(&b, "**A quick run with the smallest sizes: it shows that everything works, not how fast it is.**\n\n")
	}
	met, short := 0, 0
	for _, f := range r.figures {
		if f.met != nil && *f.met {
			met++
		} else if f.met != nil {
			short++
		}
	}
	if len(r.machine) > 0 {
		fmt.Fprintf(&b, "Measured on %s on a machine of %s; more of it [below](#machine).\n\n", r.date, r.plain(r.machine[0]))
	}
	fmt.Fprintf(&b, "%d figures met, %d short, %d left out.\n\n", met, short, len(r.left))
	r.writeShort(&b)
	fmt.Fprint(&b, "## Figures\n\nA ratio says how many times quicker ours is than the peer, where nothing else is said.\n\n")
	part, rows := "", [][]string(nil)
	flush := func() {
		if len(rows) > 0 {
			fmt.Fprintf(&b, "### %s\n\n", part)
			writeTable(&b, table{head: []string{"figure", "ratio", "ours", "peer", "wanted", ""}, rows: rows})
			fmt.Fprintln(&b)
		}
	}
	for _, f := range r.figures {
		if f.part != part {
			flush()
			part, rows = f.part, nil
		}
		verdict := "–"
		if f.met != nil && *f.met {
			verdict = "met"
		} else if f.met != nil {
			verdict = "**short**"
		}
		rows = append(rows, []string{f.what, f.ratio, f.ours, f.peer, f.wanted, verdict})
	}
	flush()
	fmt.Fprint(&b, "A whole process is timed from its start to its end, files read and answer written; the median of several runs, of the book's the mean of three.\n")
	for _, t := range r.growth {
		fmt.Fprintf(&b, "\n## Growth: %s\n\n", t.title)
		writeTable(&b, t)
	}
	fmt.Fprint(&b, "\n## Left out\n\n")
	if len(r.left) == 0 {
		fmt.Fprint(&b, "Nothing.\n")
	}
	for _, l := range r.left {
		fmt.Fprintf(&b, "- %s\n", strings.Join(strings.Fields(l), " "))
	}
	fmt.Fprint(&b, "\n## Machine\n\n")
	for _, l := range r.machine {
		fmt.Fprintf(&b, "- %s\n", r.plain(l))
	}
	fmt.Fprintf(&b, "- measured on %s; it took %v: %s\n", r.date, r.all, strings.Join(r.took, ", "))
	fmt.Fprint(&b, "\n## As printed\n")
	for _, k := range r.raw {
		fmt.Fprintf(&b, "\n### %s\n\n```\n%s\n```\n", k.title, strings.TrimRight(strings.Trim(r.plain(k.text), "\n"), " "))
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// writeShort says first what did not reach what was wanted.
func (r *report) writeShort(b *strings.Builder) {
	said := false
	for _, f := range r.figures {
		if f.met == nil || *f.met {
			continue
		}
		if !said {
			fmt.Fprint(b, "What falls short:\n\n")
			said = true
		}
		got := f.ours
		if f.ratio != "–" {
			got = f.ratio
		}
		fmt.Fprintf(b, "- %s: %s, wanted %s\n", f.what, got, f.wanted)
	}
	if said {
		fmt.Fprintln(b)
	}
}

func writeTable(b *strings.Builder, t table) {
	fmt.Fprintf(b, "| %s |\n|%s\n", strings.Join(t.head, " | "), strings.Repeat("---|", len(t.head)))
	for _, row := range t.rows {
		fmt.Fprintf(b, "| %s |\n", strings.Join(row, " | "))
	}
}
