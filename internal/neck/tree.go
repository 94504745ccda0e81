package neck

import (
	"bytes"
	"errors"
	"fmt"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/unit"
)

// form is what stands behind a key.
type form int

const (
	tableForm form = iota
	arrayForm
	textForm
	integerForm
	floatForm
	boolForm
	dateForm
)

// String names the form in a sentence.
func (f form) String() string {
	return [...]string{"a table", "a list", "a text", "a number", "a number", "true or false", "a date"}[f]
}

// node is one value of the file and the line it stands on.
type node struct {
	form     form
	line     int
	text     string           // a text's content, any other scalar as written
	keys     []string         // a table's, in file order
	values   map[string]*node // a table's
	items    []*node          // a list's
	header   bool             // a table opened by its own [header]
	repeated bool             // a list made by [[headers]]
}

func newTable(line int) *node {
	return &node{form: tableForm, line: line, values: map[string]*node{}}
}

func (n *node) put(key string, v *node) {
	n.keys = append(n.keys, key)
	n.values[key] = v
}

// child is the value behind a key, nil where there is none or n is no table.
func (n *node) child(key string) *node {
	if n == nil || n.form != tableForm {
		return nil
	}
	return n.values[key]
}

// treeBuilder turns the TOML parser's expressions into a tree of nodes.
type treeBuilder struct {
	file   string
	parser unstable.Parser
	faults *fileerr.List
	seen   int // bytes whose lines are counted
	line   int
	root   *node
	at     *node // the table that the next key belongs to
	prefix string
	broken bool // a fault of syntax was met
	count  int  // headers and keys at the start of a line
}

// buildTree reads TOML text. It returns what it could read, and whether that
// is all of it: a fault of syntax ends the reading.
func buildTree(file string, data []byte, faults *fileerr.List) (root *node, whole bool) {
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if msg := notText(data); msg != "" {
		faults.Add(file, 0, "", "%s", msg)
		return newTable(0), false
	}
	b := &treeBuilder{file: file, faults: faults, root: newTable(0)}
	b.at = b.root
	for rest, line := data, 1; rest != nil; {
		rest, line = b.parse(rest, line)
	}
	if b.count > maxLines {
		faults.Add(file, 0, "", "has more than %d keys, too many for a neck file", maxLines)
		return newTable(0), false
	}
	if b.broken {
		return b.root, false
	}
	if len(*faults) == 0 {
		return b.root, b.agrees(data)
	}
	return b.root, true
}

// defaultNode reads a default written in TOML. A default that cannot be read
// is a mistake of this program, which its tests find.
func defaultNode(def string) *node {
	var faults fileerr.List
	data := []byte("v = " + def)
	b := &treeBuilder{faults: &faults, root: newTable(0)}
	b.at = b.root
	b.parse(data, 1)
	v := b.root.child("v")
	if len(faults) > 0 || v == nil {
		panic("neck: not TOML: " + string(data))
	}
	v.line = 0 // stands in no file
	return v
}

// agrees lets the library's own decoder look for what the tree does not: rules
// of TOML about tables and dotted keys that no neck file should come near.
func (b *treeBuilder) agrees(data []byte) bool {
	var into map[string]any
	err := toml.Unmarshal(data, &into)
	if err == nil {
		return true
	}
	line := 0
	var de *toml.DecodeError
	if errors.As(err, &de) {
		line, _ = de.Position()
	}
	b.faults.Add(b.file, line, "", "%s", plainly(err))
	return false
}

// parse reads from the line given to the end, or to a fault of syntax: then it
// returns what follows the faulty line, nil where that would make no sense.
func (b *treeBuilder) parse(data []byte, line int) (rest []byte, restLine int) {
	b.parser.Reset(data)
	b.line, b.seen = line, 0
	for b.parser.NextExpression() {
		b.expression(b.parser.Expression())
	}
	err := b.parser.Error()
	if err == nil {
		return nil, 0
	}
	b.broken = true
	at := len(data)
	var pe *unstable.ParserError
	if errors.As(err, &pe) && len(pe.Highlight) > 0 {
		at = int(b.parser.Range(pe.Highlight).Offset)
	}
	line += bytes.Count(data[:at], []byte("\n"))
	start := 1 + bytes.LastIndexByte(data[:at], '\n')
	text, rest, more := bytes.Cut(data[start:], []byte("\n"))
	b.faults.Add(b.file, line, "", "%s", syntaxMessage(string(text), err))
	if !more || bytes.ContainsAny(text, "[]{}") || bytes.Contains(text, []byte(`"""`)) || len(*b.faults) > fileerr.MaxFaults {
		return nil, 0
	}
	return rest, line + 1
}

// syntaxMessage says what is wrong with a line that is no TOML; the slip of
// every beginner is a size without quotes.
func syntaxMessage(line string, err error) string {
	key, value, found := strings.Cut(line, "=")
	key, value = strings.TrimSpace(key), strings.TrimSpace(value)
	if i := strings.IndexByte(value, '#'); i >= 0 {
		value = strings.TrimSpace(value[:i])
	}
	if found && value != "" && !strings.ContainsAny(key+value, "\"'[]{}") {
		return fmt.Sprintf("not valid TOML; write a text or a size in quotes: %s = %s", show(key), unit.Quote(value))
	}
	if found && value == "" {
		return fmt.Sprintf("not valid TOML; %s has no value", show(key))
	}
	return "not valid TOML: " + plainly(err)
}

// plainly puts the library's words for what makers meet into theirs.
func plainly(err error) string {
	text := strings.TrimPrefix(err.Error(), "toml: ")
	switch {
	case strings.Contains(text, "strings cannot have new lines"), strings.HasPrefix(text, "unterminated"):
		return "a quote is never closed; write one at each end"
	case strings.Contains(text, "64-bit"):
		return "a number is absurdly large"
	case strings.HasPrefix(text, "carriage returns"), strings.HasSuffix(text, "U+000D"):
		return "its lines end in CR alone; save it with LF or CRLF"
	}
	return text
}

// lineOf counts lines up to a place. Places come in rising order but for keys,
// which come after their values: then it counts back.
func (b *treeBuilder) lineOf(r unstable.Range) int {
	to := int(r.Offset)
	data := b.parser.Data()
	if to >= b.seen {
		b.line += bytes.Count(data[b.seen:to], []byte("\n"))
	} else {
		b.line -= bytes.Count(data[to:b.seen], []byte("\n"))
	}
	b.seen = to
	return b.line
}

// Limits on a file's shape: far more than a neck file needs, few enough to
// read any nonsense of MaxBytes in no time.
const (
	maxLines = 5000 // headers and keys at the start of a line
	maxParts = 10   // of a dotted key
)

// expression takes in a header or a key with its value.
func (b *treeBuilder) expression(n *unstable.Node) {
	if b.count++; b.count > maxLines {
		return
	}
	switch n.Kind {
	case unstable.Table, unstable.ArrayTable:
		if path, line := b.path(n); path != nil {
			b.open(path, line, n.Kind == unstable.ArrayTable)
		}
	case unstable.KeyValue:
		b.keyValue(b.at, b.prefix, n)
	}
}

// path is a header's or a key's dotted name and the line it starts on; nil
// (and a fault) where it has more parts than any key.
func (b *treeBuilder) path(n *unstable.Node) (path []string, line int) {
	for it := n.Key(); it.Next(); {
		if line == 0 {
			line = b.lineOf(it.Node().Raw)
		}
		path = append(path, string(it.Node().Data))
		if len(path) > maxParts {
			b.faults.Add(b.file, line, show(strings.Join(path, ".")), "has more than %d parts; there is no such key", maxParts)
			return nil, line
		}
	}
	return path, line
}

// open makes the table a header names the current one.
func (b *treeBuilder) open(path []string, line int, repeated bool) {
	last := len(path) - 1
	parent := b.descend(b.root, path[:last], "", line)
	key, full := path[last], strings.Join(path, ".")
	b.prefix = full
	b.at = newTable(line)
	b.at.header = true
	if parent == nil {
		return
	}
	old := parent.values[key]
	switch {
	case repeated && old == nil:
		parent.put(key, &node{form: arrayForm, line: line, items: []*node{b.at}, repeated: true})
	case repeated && old.repeated:
		old.items = append(old.items, b.at)
	case old == nil:
		parent.put(key, b.at)
	case old.form == tableForm && !old.header && !repeated:
		old.header = true
		b.at = old
	default:
		b.twice(full, line, old.line)
	}
}

func (b *treeBuilder) twice(key string, line, first int) {
	b.faults.Add(b.file, line, show(key), "appears twice, first on line %d; keep one", first)
}

// descend follows a dotted path of tables, making those that are missing; nil
// (and a fault) where something else stands in the way.
func (b *treeBuilder) descend(from *node, path []string, prefix string, line int) *node {
	for _, key := range path {
		prefix = join(prefix, key)
		next := from.values[key]
		switch {
		case next == nil:
			next = newTable(line)
			from.put(key, next)
		case next.repeated:
			next = next.items[len(next.items)-1]
		case next.form != tableForm:
			b.twice(prefix, line, next.line)
			return nil
		}
		from = next
	}
	return from
}

// keyValue puts a key's value into a table.
func (b *treeBuilder) keyValue(into *node, prefix string, n *unstable.Node) {
	path, line := b.path(n)
	if path == nil {
		return
	}
	last := len(path) - 1
	into = b.descend(into, path[:last], prefix, line)
	if into == nil {
		return
	}
	key := path[last]
	full := join(prefix, strings.Join(path, "."))
	if old := into.values[key]; old != nil {
		b.twice(full, line, old.line)
		return
	}
	into.put(key, b.value(n.Value(), line, full))
}

// value turns a value into a node. Lists have no place of their own: they
// take their key's line, or that of their first item that has a place.
func (b *treeBuilder) value(n *unstable.Node, line int, name string) *node {
	switch n.Kind {
	case unstable.Array:
		list := &node{form: arrayForm, line: line}
		for it := n.Children(); it.Next(); {
			list.items = append(list.items, b.value(it.Node(), line, item(name, len(list.items)+1)))
		}
		return list
	case unstable.InlineTable:
		return b.inlineTable(n, line, name)
	}
	out := &node{form: scalarForm(n.Kind), line: line, text: string(n.Data)}
	if n.Raw.Length > 0 {
		out.line = b.lineOf(n.Raw)
	}
	return out
}

// item names an item of a list; deep in nonsense it keeps the list's name.
func item(list string, n int) string {
	const deep = 200
	if len(list) > deep {
		return list
	}
	return fmt.Sprintf("%s[%d]", list, n)
}

func (b *treeBuilder) inlineTable(n *unstable.Node, line int, name string) *node {
	table := newTable(line)
	table.header = true // closed: no header may add to it
	for it := n.Children(); it.Next(); {
		b.keyValue(table, name, it.Node())
	}
	if len(table.keys) > 0 {
		table.line = table.values[table.keys[0]].line
	}
	return table
}

func scalarForm(k unstable.Kind) form {
	switch k {
	case unstable.String:
		return textForm
	case unstable.Integer:
		return integerForm
	case unstable.Float:
		return floatForm
	case unstable.Bool:
		return boolForm
	}
	return dateForm
}

func join(prefix, key string) string {
	if prefix == "" {
		return key
	}
	return prefix + "." + key
}

// show prints a key of the file inside a message, control characters escaped,
// cut short.
func show(key string) string {
	q := unit.Quote(key)
	if q == `"`+key+`"` {
		return key
	}
	return q
}
