package fileerr

import (
	"errors"
	"fmt"
	"sort"
	"strings"
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
}

// Error prints the fault as file:line: key: message.
func (f Fault) Error() string {
	var b strings.Builder
	b.WriteString(f.File)
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
// last line says so.
func (l List) Error() string {
	lines := make([]string, 0, min(len(l), MaxFaults)+1)
	for i, f := range l {
		if i == MaxFaults {
			lines[i-1] += " (and more)"
			break
		}
		lines = append(lines, f.Error())
	}
	return strings.Join(lines, "\n")
}

// Add appends a fault.
func (l *List) Add(file string, line int, key, format string, args ...any) {
	*l = append(*l, Fault{File: file, Line: line, Key: key, Msg: fmt.Sprintf(format, args...)})
}

// Err returns the list in file order as an error, or nil where it is empty.
func (l List) Err() error {
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
	case len(l) == 1:
		return l[0].Error()
	}
	return fmt.Sprintf("%s (and %d more)", l[0], len(l)-1)
}
