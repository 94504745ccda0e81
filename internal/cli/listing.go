package cli

import (
	"fmt"
	"io"
	"unicode"
	"unicode/utf8"

	"github.com/spf13/pflag"
)

// addAll adds the flag for the whole of a listing. Without it a listing is what a
// hand needs: the verdict, what to read again, what to do in order, what comes next.
func addAll(f *pflag.FlagSet, all *bool) {
	f.BoolVar(all, "all", false, "print the tables, figures and reasons too")
}

// more ends a short listing: it names what --all shows beside.
func (s *streams) more(what string) {
	if !s.short {
		return
	}
	words := "--all shows " + what
	if s.fill != "" {
		words += " (" + s.fill + ")"
	}
	wrap(s.out, "", words)
}

// lines prints lines with a lead, without a heading.
func lines(w io.Writer, lead string, list []string) {
	for _, l := range list {
		wrap(w, lead, l)
	}
}

// steps numbers what to do now.
type steps struct {
	w     io.Writer
	short bool // no empty line before
	plain bool // no heading
	n     int
}

// step begins a step.
func (s *steps) step(words string) {
	if s.n == 0 && !s.plain {
		if !s.short {
			fmt.Fprintln(s.w)
		}
		fmt.Fprintln(s.w, "What to do now")
	}
	s.n++
	first, size := utf8.DecodeRuneInString(words)
	wrap(s.w, fmt.Sprintf("%3d. ", s.n), string(unicode.ToUpper(first))+words[size:])
}

// detail says more of the step.
func (s *steps) detail(words string) { wrap(s.w, "     ", words) }
