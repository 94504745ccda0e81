package fileerr

import (
	"errors"
	"fmt"
	"sort"
	"strings"

	"ringtrue/internal/name"
)

// MaxFaults is how many faults a List prints, one a line; the last line of a longer
// one says that there are more.
const MaxFaults = 20

// Fault is one thing wrong in one place of a file.
type Fault struct {
	File string // as the maker named it
	Line int    // counted from 1; 0 where the fault belongs to the whole file
	Key  string // the TOML key or the CSV column; empty where none applies
	Msg  string // what was found and what is wanted

	Kind    string // the sentence without what a row puts into it; empty where it is Msg
	Meant   string // of an unknown key: the key that it was most likely meant to be
	Missing string // of a key that is missing: that key
}

// Error prints the fault as file:line: key: message.
func (f Fault) Error() string {
	var b strings.Builder
	b.WriteString(name.Visible(f.File))
	if f.Line > 0 {
		fmt.Fprintf(&b, ":%d", f.Line)
	}
	b.WriteString(": ")
	if f.Key != "" {
		b.WriteString(f.Key)
		b.WriteString(": ")
	}
	b.WriteString(f.Msg)
	return b.String()
}

// List is every fault found in a file, in file order.
type List []Fault

// Error prints one line a fault, MaxFaults at the most; where there are more, the
// last line says so. The same fault on many rows is one line, with all its rows.
func (l List) Error() string {
	groups := l.groups()
	lines := make([]string, 0, min(len(groups), MaxFaults)+1)
	for i, g := range groups {
		if i == MaxFaults {
			lines[i-1] += " (and more)"
			break
		}
		lines = append(lines, g.String())
	}
	return strings.Join(lines, "\n")
}

// Add appends a fault. Faults of one format, file and key are alike.
func (l *List) Add(file string, line int, key, format string, args ...any) {
	*l = append(*l, Of(file, line, key, format, args...))
}

// Of makes a fault.
func Of(file string, line int, key, format string, args ...any) Fault {
	f := Fault{File: file, Line: line, Key: key, Msg: fmt.Sprintf(format, args...), Kind: format}
	if format == "%s" { // says nothing by itself
		f.Kind = ""
	}
	return f
}

// Err returns the list in file order as an error, or nil where it is empty. A key
// that is missing because it was misspelt is one fault, not two.
func (l List) Err() error {
	l = l.withoutMisspelt()
	if len(l) == 0 {
		return nil
	}
	sort.SliceStable(l, func(i, j int) bool { return l[i].Line < l[j].Line })
	return l
}

// Is reports whether err is or wraps faults of a file.
func Is(err error) bool {
	var l List
	var f Fault
	return errors.As(err, &l) || errors.As(err, &f)
}

// OneLine is an error on one line: of a file's faults the first.
func OneLine(err error) string {
	var l List
	switch {
	case !errors.As(err, &l) || len(l) == 0:
		return strings.ReplaceAll(err.Error(), "\n", "; ")
	}
	groups := l.groups()
	if len(groups) == 1 {
		return groups[0].String()
	}
	return fmt.Sprintf("%s (and %d more)", groups[0], len(groups)-1)
}
