package bench

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"ringtrue/internal/neck"
)

// neckValues are a neck file's values as a form has them, by key:
// board.radius is "300 mm; 400 mm", strings.set[1].pitch is "E4".
type neckValues map[string]string

// spareRows are the empty rows that a list has for more.
const spareRows = 1

// valuesOf reads a neck file's values, whatever they are; nothing where it is no
// TOML.
func valuesOf(data []byte) neckValues {
	v := neckValues{}
	var tree map[string]any
	if toml.Unmarshal(data, &tree) == nil {
		v.gather("", tree)
	}
	return v
}

func (v neckValues) gather(key string, value any) {
	switch x := value.(type) {
	case map[string]any:
		for name, inner := range x {
			v.gather(strings.TrimPrefix(key+"."+name, "."), inner)
		}
	case []any:
		var parts []string
		for i, inner := range x {
			if _, table := inner.(map[string]any); table {
				v.gather(fmt.Sprintf("%s[%d]", key, i+1), inner)
				continue
			}
			parts = append(parts, plainValue(inner))
		}
		if parts != nil {
			v[key] = strings.Join(parts, "; ")
		}
	default:
		v[key] = plainValue(value)
	}
}

func plainValue(v any) string {
	if f, ok := v.(float64); ok {
		return strconv.FormatFloat(f, 'g', -1, 64)
	}
	return fmt.Sprint(v)
}

// tomlValue writes a field's text as a value of a neck file.
func tomlValue(k neck.Key, text string) string {
	if parts := strings.Split(text, ";"); len(parts) > 1 && k.Value != "text" {
		for i, p := range parts {
			parts[i] = tomlValue(k, strings.TrimSpace(p))
		}
		return "[" + strings.Join(parts, ", ") + "]"
	}
	_, err := strconv.ParseFloat(text, 64)
	switch {
	case k.Value == "true or false" && (text == "true" || text == "false"), k.Value != "text" && err == nil && isNumber(text):
		return text
	}
	return quoted(text)
}

// isNumber reports whether a text is a number as TOML has them.
func isNumber(text string) bool {
	var t map[string]any
	return toml.Unmarshal([]byte("x = "+text), &t) == nil
}

// quoted is a text as a TOML basic string.
func quoted(text string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range text {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r < ' ' || r == 0x7f:
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// keyOf is a key as faults name it.
func keyOf(k neck.Key) string { return strings.TrimPrefix(k.Table+"."+k.Name, ".") }

// isList reports whether a key's value is a list of tables.
func isList(k neck.Key) bool { return strings.HasPrefix(k.Value, "list of tables") }

// valueOf is what a key's line says after its equals sign; nothing where the
// form leaves it to its default.
func (v neckValues) valueOf(k neck.Key) string {
	key := keyOf(k)
	switch {
	case isList(k):
		var rows []string
		for i := range v.rows(k) {
			if row := v.inline(k, fmt.Sprintf("%s[%d]", key, i+1)); row != "" {
				rows = append(rows, "  "+row+",\n")
			}
		}
		if rows == nil {
			return ""
		}
		return "[\n" + strings.Join(rows, "") + "]"
	case k.Parts != nil:
		return v.inline(k, key)
	case v[key] == "":
		return ""
	}
	return tomlValue(k, v[key])
}

// inline writes a table of a few keys.
func (v neckValues) inline(k neck.Key, prefix string) string {
	var parts []string
	for _, p := range k.Parts {
		key, value := prefix+"."+p.Name, ""
		if text := v[key]; p.Parts != nil {
			value = v.inline(p, key)
		} else if text != "" {
			value = tomlValue(p, text)
		}
		if value != "" {
			parts = append(parts, p.Name+" = "+value)
		}
	}
	if parts == nil {
		return ""
	}
	return "{ " + strings.Join(parts, ", ") + " }"
}

// rows is how many rows of a list have a value, those between included.
func (v neckValues) rows(k neck.Key) int {
	most := 0
	for n := 1; n <= maxRows; n++ {
		if v.inline(k, fmt.Sprintf("%s[%d]", keyOf(k), n)) != "" {
			most = n
		}
	}
	return most
}

// maxRows is how long a list of a neck file can be.
const maxRows = 20

// write makes a neck file of the values. Where a file was given and what is
// different stands on lines of its own, the rest keeps its bytes; else the file
// is written out whole.
func (v neckValues) write(given []byte) []byte {
	if len(given) > 0 {
		if v.same(valuesOf(given)) {
			return given
		}
		if data, ok := v.edited(given); ok {
			return data
		}
	}
	return v.whole()
}

// same reports whether another file has the same values.
func (v neckValues) same(o neckValues) bool {
	for _, k := range neck.Keys() {
		if v.valueOf(k) != o.valueOf(k) {
			return false
		}
	}
	return true
}

// whole writes a neck file out, each key with what it means.
func (v neckValues) whole() []byte {
	var b bytes.Buffer
	table := ""
	for _, k := range neck.Keys() {
		value := v.valueOf(k)
		if value == "" {
			continue
		}
		if k.Table != table {
			table = k.Table
			fmt.Fprintf(&b, "\n[%s]\n", table)
		}
		meaning, _, _ := strings.Cut(k.Meaning, "\n")
		fmt.Fprintf(&b, "# %s\n%s = %s\n", meaning, k.Name, value)
	}
	return bytes.TrimLeft(b.Bytes(), "\n")
}

// edited changes the lines that differ. False: some of it stands on no line of
// its own.
func (v neckValues) edited(given []byte) ([]byte, bool) {
	old := valuesOf(given)
	lines := strings.Split(string(given), "\n")
	for _, k := range neck.Keys() {
		was, now := old.valueOf(k), v.valueOf(k)
		if was == now {
			continue
		}
		at := neck.Line([]byte(strings.Join(lines, "\n")), keyOf(k)) - 1
		if at < 0 || at >= len(lines) || strings.Contains(now, "\n") || strings.Contains(was, "\n") {
			return nil, false
		}
		key := regexp.MustCompile(`^\s*` + regexp.QuoteMeta(k.Name) + `\s*=`)
		switch here := key.MatchString(lines[at]); {
		case here && now == "":
			lines = slices.Delete(lines, at, at+1)
		case here:
			lines[at] = replaced(lines[at], now)
		default: // under the table's head
			lines = slices.Insert(lines, at+1, k.Name+" = "+now)
		}
	}
	data := []byte(strings.Join(lines, "\n"))
	return data, v.same(valuesOf(data))
}

// replaced puts a value into a line; a remark after it stays.
func replaced(line, value string) string {
	head, rest, _ := strings.Cut(line, "=")
	out := head + "= " + value
	in := rune(0)
	for i, r := range rest {
		switch {
		case in != 0 && r == in:
			in = 0
		case in == 0 && (r == '"' || r == '\''):
			in = r
		case in == 0 && r == '#':
			return out + "  " + rest[i:]
		}
	}
	return out
}
