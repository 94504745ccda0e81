package cli

import (
	"bytes"
	"encoding/json"
	"io"
	"reflect"
	"runtime"
	"strings"
	"sync"
)

// longList is a list that prints itself stretch by stretch, its elements parted
// by commas.
type longList interface {
	Len() int
	AppendJSON(b []byte, from, to int) []byte
}

// printLongJSON prints an answer of very many numbers in one line: set out, each
// would take a line of its own. It is what encoding/json prints, which would hold
// the whole text, and each list's, in memory first.
func (s *streams) printLongJSON(answer any) error {
	l := &longJSON{out: s.out}
	l.value(reflect.ValueOf(answer))
	l.write("\n")
	if l.err != nil {
		return outputError(l.err)
	}
	return nil
}

// longJSON writes structures field by field, and their long lists in stretches.
// After an error it writes nothing more.
type longJSON struct {
	out  io.Writer
	text [][]byte // of stretches, to be used again
	err  error
}

func (l *longJSON) write(text string) {
	if l.err == nil {
		_, l.err = io.WriteString(l.out, text)
	}
}

func (l *longJSON) value(v reflect.Value) {
	if list, ok := v.Interface().(longList); ok {
		l.list(list)
		return
	}
	if _, ok := v.Interface().(json.Marshaler); ok {
		l.plain(v)
		return
	}
	switch k := v.Kind(); {
	case k == reflect.Pointer && !v.IsNil():
		l.value(v.Elem())
	case k == reflect.Struct:
		l.write("{")
		l.fields(v, "")
		l.write("}")
	case k == reflect.Slice && !v.IsNil() && v.Type().Elem().Kind() == reflect.Struct:
		l.write("[")
		for i := range v.Len() {
			if i > 0 {
				l.write(",")
			}
			l.value(v.Index(i))
		}
		l.write("]")
	default:
		l.plain(v)
	}
}

// fields writes a structure's fields, those of embedded ones in their place. It
// returns what parts the next field from them.
func (l *longJSON) fields(v reflect.Value, comma string) string {
	for i := range v.NumField() {
		f := v.Type().Field(i)
		tag, tagged := f.Tag.Lookup("json")
		if f.Anonymous && !tagged {
			comma = l.fields(v.Field(i), comma)
			continue
		}
		name, options, _ := strings.Cut(tag, ",")
		if !f.IsExported() || tag == "-" || options == "omitempty" && empty(v.Field(i)) {
			continue
		}
		l.write(comma + `"` + name + `":`)
		l.value(v.Field(i))
		comma = ","
	}
	return comma
}

// empty is what omitempty leaves out.
func empty(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Slice, reflect.Map, reflect.Array:
		return v.Len() == 0
	case reflect.Struct:
		return false
	}
	return v.IsZero()
}

// plain writes what is short.
func (l *longJSON) plain(v reflect.Value) {
	if l.err != nil {
		return
	}
	var text bytes.Buffer
	e := json.NewEncoder(&text)
	e.SetEscapeHTML(false)
	if l.err = e.Encode(v.Interface()); l.err == nil {
		_, l.err = l.out.Write(bytes.TrimSuffix(text.Bytes(), []byte{'\n'}))
	}
}

// stretchLength is how many elements are put into text at once.
const stretchLength = 4096

// list writes a list: several stretches are put into text at the same time, then
// written in their order.
func (l *longJSON) list(list longList) {
	l.write("[")
	if l.text == nil {
		l.text = make([][]byte, runtime.GOMAXPROCS(0))
	}
	for from := 0; from < list.Len() && l.err == nil; {
		var made sync.WaitGroup
		used := 0
		for ; used < len(l.text) && from < list.Len(); used++ {
			at, first, to := used, from, min(from+stretchLength, list.Len())
			made.Go(func() {
				l.text[at] = l.text[at][:0]
				if first > 0 {
					l.text[at] = append(l.text[at], ',')
				}
				l.text[at] = list.AppendJSON(l.text[at], first, to)
			})
			from = to
		}
		made.Wait()
		for _, text := range l.text[:used] {
			if l.err == nil {
				_, l.err = l.out.Write(text)
			}
		}
	}
	l.write("]")
}
