package bench

import (
	"cmp"
	"fmt"
	"net/http"
	"strings"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/neck"
)

// neckDataBody shows the neck file of a neck in work: it is fixed, so there is
// nothing to fill in.
type neckDataBody struct {
	ID, File string
	Tables   []dataTable
	Usual    []dataRow // keys that the file leaves to their defaults
}

type dataTable struct {
	Name, Words string
	Rows        []dataRow
}

type dataRow struct {
	Name    string
	Values  []string
	Meaning string
}

func (s *Server) showNeckData(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	b := neckDataBody{ID: k.ID()}
	var values neckValues
	k.Read(func(st *draft.State) { b.File, values = st.File, valuesOf(st.Data) })
	for _, key := range neck.Keys() {
		row := dataRow{Name: strings.ReplaceAll(key.Name, "_", " "), Values: values.said(key), Meaning: key.Meaning}
		if row.Values == nil {
			row.Name = strings.TrimSpace(key.Table + " " + row.Name)
			row.Values = strings.Split(s.renderer.typed(key.Default), "\n")
			b.Usual = append(b.Usual, row)
			continue
		}
		if n := len(b.Tables); n == 0 || b.Tables[n-1].Name != cmp.Or(key.Table, "name") {
			name := cmp.Or(key.Table, "name")
			b.Tables = append(b.Tables, dataTable{Name: name, Words: s.renderer.words.Say("necktable." + name)})
		}
		for i, v := range row.Values {
			if key.Value != "text" {
				row.Values[i] = s.renderer.typed(v)
			}
		}
		t := &b.Tables[len(b.Tables)-1]
		t.Rows = append(t.Rows, row)
	}
	return s.show(w, r, "neckdata", head{Neck: s.neckHead(k, "neck")}, b)
}

// said is what a file says of a key, a line for each entry of a list; nil where it
// leaves it out.
func (v neckValues) said(k neck.Key) (lines []string) {
	key := keyOf(k)
	switch {
	case isList(k):
		for i := range v.rows(k) {
			lines = append(lines, v.parts(k, fmt.Sprintf("%s[%d]", key, i+1)))
		}
	case k.Parts != nil:
		if words := v.parts(k, key); words != "" {
			lines = []string{words}
		}
	case v[key] != "":
		lines = []string{v[key]}
	}
	return lines
}

func (v neckValues) parts(k neck.Key, prefix string) string {
	var all []string
	for _, p := range k.Parts {
		if value := v[prefix+"."+p.Name]; value != "" {
			all = append(all, strings.ReplaceAll(p.Name, "_", " ")+" "+value)
		}
	}
	return strings.Join(all, ", ")
}
