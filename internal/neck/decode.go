package neck

import (
	"bytes"
	"fmt"
	"path/filepath"
	"strings"

	"ringtrue/internal/fileerr"
)

// MaxBytes is the size of the largest neck file that is looked at.
const MaxBytes = 1 << 20

// Parse reads a neck file. file is its name, for messages; a file that gives
// no name to the neck lends it its own. All faults are found at once and come
// back as a fileerr.List in file order.
func Parse(file string, data []byte) (Model, error) {
	if len(data) > MaxBytes {
		return Model{}, fileerr.List{{File: file, Msg: fmt.Sprintf("is larger than %d MB, too large for a neck file", MaxBytes>>20)}}
	}
	if len(bytes.TrimSpace(data)) == 0 {
		return Model{}, fileerr.List{{File: file, Msg: "is empty; a neck file has the tables [scale], [board], [strings] and [level]"}}
	}
	d, root := decode(file, data, Keys())
	var m Model
	if d.whole || len(root.keys) > 0 {
		readTables(d, root, tables(), &m)
		if d.whole {
			d.check(root, &m)
		}
	}
	if err := d.faults.Err(); err != nil {
		return Model{}, err
	}
	if m.Name == "" {
		m.Name = nameOf(file)
	}
	m.Assumed = d.assumed
	return m, nil
}

// nameOf makes a neck's name of its file's.
func nameOf(file string) string {
	base := filepath.Base(file)
	base = strings.TrimSuffix(base, filepath.Ext(base))
	if base == "" || base == "-" || base == "." || base == "/" {
		return "neck"
	}
	return base
}

// decode reads a file into a tree and makes the tree's decoder; keys are all that
// such a file has.
func decode(file string, data []byte, keys []Key) (*decoder, *node) {
	d := &decoder{file: file, keys: keys, bad: map[string]bool{}}
	root, whole := buildTree(file, data, &d.faults)
	d.whole = whole
	return d, root
}

// decoder reads the tree into a model, noting faults.
type decoder struct {
	file    string
	keys    []Key
	whole   bool // all of the file could be parsed: a missing key is really missing
	faults  fileerr.List
	assumed []string        // keys that stand at their defaults
	bad     map[string]bool // keys with a fault, and the tables and lists they stand in
}

// fault notes what is wrong with a key.
func (d *decoder) fault(line int, key, format string, args ...any) {
	f := fileerr.Of(d.file, line, show(key), format, args...)
	if strings.HasPrefix(format, "is missing") {
		f.Missing = key
	}
	d.faults = append(d.faults, f)
	for key != "" {
		d.bad[key] = true
		key = key[:max(strings.LastIndexAny(key, ".["), 0)]
	}
}

// good reports that none of the keys has a fault.
func (d *decoder) good(keys ...string) bool {
	for _, k := range keys {
		if d.bad[k] {
			return false
		}
	}
	return true
}

// readTables reads every table in the order of the file's definition.
func readTables[T any](d *decoder, root *node, all []table[T], to *T) {
	known := []string{}
	for _, t := range all {
		if t.name == "" {
			known = append(known, names(t.fields)...)
		} else {
			known = append(known, t.name)
		}
	}
	d.unknownKeys("", root, known)
	for _, t := range all {
		if t.name == "" {
			readFields(d, root, "", t.fields, to)
			continue
		}
		readTable(d, t, root.child(t.name), to)
	}
}

// readTable reads one table, or its defaults.
func readTable[T any](d *decoder, t table[T], n *node, to *T) {
	if n == nil && t.required {
		d.bad[t.name] = true
		if d.whole {
			f := fileerr.Of(d.file, 0, "", "[%s] is missing; it needs %s", t.name, t.needs)
			f.Missing = t.name
			d.faults = append(d.faults, f)
		}
		for _, f := range t.fields {
			d.bad[join(t.name, f.name)] = true
		}
		return
	}
	if n == nil {
		n = newTable(0)
	}
	if n.form != tableForm {
		d.fault(n.line, t.name, "is %s; write a table headed [%s]", n.form, t.name)
		return
	}
	d.unknownKeys(t.name, n, names(t.fields))
	readFields(d, n, t.name, t.fields, to)
}

// unknownKeys faults every key of a table that is not defined.
func (d *decoder) unknownKeys(table string, n *node, known []string) {
	found := 0
	for _, key := range n.keys {
		if contains(known, key) {
			continue
		}
		d.fault(n.values[key].line, join(table, key), "is unknown; %s", d.suggest(key, table, known))
		if near := fileerr.Nearest(key, known); near != "" {
			d.faults[len(d.faults)-1].Meant = join(table, near)
		}
		if found++; found > fileerr.MaxFaults {
			return // more than is shown
		}
	}
}

// suggest says what an unknown key may have been meant to be: a near one of
// its own table, the same one of another table, else the table's whole list.
func (d *decoder) suggest(key, in string, known []string) string {
	if near := fileerr.Nearest(key, known); near != "" {
		return "did you mean " + near + "?"
	}
	for _, k := range d.keys {
		if k.Table != in && k.Name == key {
			if k.Table == "" {
				return key + " goes above all tables"
			}
			return fmt.Sprintf("%s belongs in [%s]", key, k.Table)
		}
	}
	return "known here: " + strings.Join(known, ", ")
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}
