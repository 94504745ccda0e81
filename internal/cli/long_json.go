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

// printLongJSON prints an answer of very many numbers in one line: set out, each
// would take a line of its own. It is what encoding/json prints, which would hold
// the whole text in memory first: of 100,000 necks 700 MB and 1.5 s.
func (s *streams) printLongJSON(answer any) error {
	l := &longJSON{out: s.out}
	l.value(reflect.ValueOf(answer))
	l.write("\n")
	if l.err != nil {
		return outputError(l.err)
	}
	return nil
}

// longJSON writes structures field by field, and their lists in stretches. After
// an error it writes nothing more.
type longJSON struct {
	out  io.Writer
	text [16]bytes.Buffer // of stretches, to be used again
	errs [16]error
	err  error
}

// atOnce is how many elements are put into text at once.
const atOnce = 2048

func (l *longJSON) write(text string) {
	if l.err == nil {
		_, l.err = io.WriteString(l.out, text)
	}
}

func (l *longJSON) value(v reflect.Value) {
	_, itself := v.Interface().(json.Marshaler)
	switch k := v.Kind(); {
	case k == reflect.Slice && v.Len() > atOnce:
		l.list(v)
	case itself:
		l.list(v)
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
		l.list(v)
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
		if !f.IsExported() || tag == "-" || strings.Contains(options, "omit") && empty(v.Field(i), options) {
			continue
		}
		l.write(comma + `"` + name + `":`)
		l.value(v.Field(i))
		comma = ","
	}
	return comma
}

// empty is what omitempty or omitzero leaves out.
func empty(v reflect.Value, options string) bool {
	switch k := v.Kind(); {
	case options == "omitzero", k != reflect.Slice && k != reflect.Map && k != reflect.Struct:
		return v.IsZero()
	default:
		return k != reflect.Struct && v.Len() == 0
	}
}

// list writes what encoding/json makes of a value; a long list in stretches, some
// of them put into text at the same time.
func (l *longJSON) list(v reflect.Value) {
	if v.Kind() != reflect.Slice || v.Len() <= atOnce {
		l.encode(0, v)
		l.put(0, 0)
		return
	}
	l.write("[")
	at, workers := 0, min(runtime.GOMAXPROCS(0), len(l.text))
	for at < v.Len() && l.err == nil {
		var made sync.WaitGroup
		used := 0
		for ; used < workers && at < v.Len(); used++ {
			k, part := used, v.Slice(at, min(at+atOnce, v.Len()))
			made.Go(func() { l.encode(k, part) })
			at += part.Len()
		}
		made.Wait()
		for k := range used {
			l.put(k, 1)
			if k < used-1 || at < v.Len() {
				l.write(",")
			}
		}
	}
	l.write("]")
}

// encode puts a value into a text.
func (l *longJSON) encode(k int, v reflect.Value) {
	l.text[k].Reset()
	if a, ok := v.Interface().(interface{ AppendJSON(b []byte) []byte }); ok { // not twice from text to text
		l.text[k].Write(append(a.AppendJSON(l.text[k].AvailableBuffer()), '\n'))
		return
	}
	e := json.NewEncoder(&l.text[k])
	e.SetEscapeHTML(false)
	l.errs[k] = e.Encode(v.Interface())
}

// put writes a text without the end of its line, and without so many bytes of
// brackets at either end.
func (l *longJSON) put(k, brackets int) {
	if l.err == nil {
		l.err = l.errs[k]
	}
	if l.err == nil {
		text := l.text[k].Bytes()
		_, l.err = l.out.Write(text[brackets : len(text)-1-brackets])
	}
}
