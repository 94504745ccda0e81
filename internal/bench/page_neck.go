package bench

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/fileerr"
	"ringtrue/internal/geometry"
	"ringtrue/internal/name"
	"ringtrue/internal/neck"
	"ringtrue/internal/plan"
	"ringtrue/internal/unit"
	"ringtrue/internal/wood"
)

// neckBody is the neck file as a form, and what plan and wood say of it.
type neckBody struct {
	Given  string      // the file that the form began with
	Like   []choice    // the necks to start from; none where one has begun to fill in
	Needed []neckField // those that no file goes without
	Tables []neckTable
	Faults []string // those that belong to no field
	Sum    string
	Air    []neckField
	Plan   *answer.WorkPlan
	Wood   *answer.WoodAnswer
	Wrong  []string // plan or wood cannot be worked out
	Whole  bool     // the file will be written out whole
	Serial string
}

type neckTable struct {
	Name, Words string
	Fields      []neckField
	Open        bool // something in it is to be mended
}

// neckField is one key; of a table or a list the fields stand in Rows.
type neckField struct {
	Key, Name, Value, Meaning, Hint, Fault string
	Required                               bool
	Rows                                   []neckRow
}

// neckRow is a row of a list. The keys that most makers leave out stand in More,
// folded, where a row has many.
type neckRow struct {
	Legend       string
	Fields, More []neckField
}

// rowShows is how many keys of a row are shown unasked.
const rowShows = 4

// fold puts away the keys beyond the first that say nothing.
func (r *neckRow) fold() {
	var shown []neckField
	for i, f := range r.Fields {
		if i < rowShows || f.Value != "" || f.Fault != "" {
			shown = append(shown, f)
		} else {
			r.More = append(r.More, f)
		}
	}
	r.Fields = shown
}

// air is what wood asks besides the neck.
func air() []string { return []string{"temperature", "humidity", "driest", "dampest"} }

func airDefault(name string) string {
	return map[string]string{"temperature": "21 C", "humidity": "40 %", "driest": "25 %", "dampest": "65 %"}[name]
}

// showNeckForm shows the form, filled from a neck to start from or from the one in
// work that from names.
func (s *Server) showNeckForm(w http.ResponseWriter, r *http.Request) error {
	var given []byte
	switch id, like := r.FormValue("from"), r.FormValue("like"); {
	case id != "":
		k, err := s.cfg.Folder.Get(id)
		if err != nil {
			return err
		}
		given = workOf(k).neckFile
	case slices.Contains(neck.Templates(), like):
		text, err := neck.Template(like)
		if err != nil {
			return err
		}
		given = []byte(text)
	case like != "":
		return refuse(http.StatusUnprocessableEntity, s.renderer.words.Say("home.nolike"))
	}
	values := valuesOf(given)
	for _, a := range air() {
		values["air."+a] = airDefault(a)
	}
	b, _, _ := s.neckBody(values, given)
	if r.FormValue("from") == "" {
		for _, like := range neck.Templates() {
			b.Like = append(b.Like, choice{Value: like, Words: s.renderer.words.Say("like." + like), On: like == r.FormValue("like")})
		}
	}
	if len(given) == 0 { // nothing was filled in: nothing is wrong yet
		b.Faults, b.Sum = nil, ""
		b.clearFaults()
	}
	return s.show(w, r, "neck", head{}, b)
}

func (b *neckBody) clearFaults() {
	for i := range b.Needed {
		b.Needed[i].Fault = ""
	}
	for i := range b.Tables {
		b.Tables[i].Open = false
		for k := range b.Tables[i].Fields {
			b.Tables[i].Fields[k].Fault = ""
		}
	}
}

// maxGiven is the largest file that the form hands on to keep its bytes.
const maxGiven = 48 << 10

// takeNeckForm looks at the form, gives its file, or takes it into work.
func (s *Server) takeNeckForm(w http.ResponseWriter, r *http.Request) error {
	if err := s.formUpTo(w, r, maxWide); err != nil {
		return err
	}
	values := neckValues{}
	for key, v := range r.PostForm {
		if text := strings.TrimSpace(v[0]); text != "" && strings.ContainsAny(key, ".") || key == "name" {
			values[key] = cut(strings.Join(strings.Fields(text), " "), 200)
		}
	}
	given := []byte(strings.ReplaceAll(r.PostForm.Get("given"), "\r\n", "\n"))
	b, data, err := s.neckBody(values, given)
	b.Serial = strings.TrimSpace(r.PostForm.Get("serial"))
	status := http.StatusOK
	switch do := r.PostForm.Get("do"); {
	case err != nil:
		status = http.StatusUnprocessableEntity
	case do == "save":
		return give(w, "application/toml", plainFile(values["name"])+".toml", data)
	case do == "begin":
		k, err := s.cfg.Folder.Begin(plainFile(values["name"])+".toml", data, b.Serial, screenOf(r.PostForm))
		if err != nil {
			return err
		}
		return redirect(w, r, "/necks/%s/pass", k.ID())
	default:
		status = s.fillAnswers(r.Context(), &b, values, data)
	}
	return s.showAs(w, r, status, "neck", head{}, b)
}

// neckBody lays the form out and checks the file that it makes; the error is
// that of the file.
func (s *Server) neckBody(values neckValues, given []byte) (neckBody, []byte, error) {
	b := neckBody{}
	if len(given) <= maxGiven {
		b.Given = string(given)
	}
	data := values.write(given)
	if len(given) > 0 && !values.same(valuesOf(given)) {
		_, ok := values.edited(given)
		b.Whole = !ok
	}
	m, err := neck.Parse("neck file", data)
	if err == nil {
		_, err = geometry.New(m)
	}
	faults, rest := faultsByKey(err)
	if why := name.Typed(values["name"]); why != "" {
		faults["name"], err = why, errors.Join(err, errors.New(why))
	}
	used := map[string]bool{}
	for _, k := range neck.Keys() {
		f := s.renderer.neckField(k, keyOf(k), values, faults, used)
		if k.Required || isFirst(k) {
			b.Needed = append(b.Needed, f)
			continue
		}
		if len(b.Tables) == 0 || b.Tables[len(b.Tables)-1].Name != k.Table {
			b.Tables = append(b.Tables, neckTable{Name: k.Table, Words: s.renderer.words.Say("necktable." + cmp.Or(k.Table, "name"))})
		}
		t := &b.Tables[len(b.Tables)-1]
		t.Fields, t.Open = append(t.Fields, f), t.Open || f.faulty()
	}
	b.Faults = rest
	for key, words := range faults {
		if !used[key] {
			b.Faults = append(b.Faults, key+": "+words)
		}
	}
	slices.Sort(b.Faults)
	if err != nil {
		b.Sum = s.renderer.words.Say("neck.faults", len(faults)+len(rest))
	}
	for _, a := range air() {
		b.Air = append(b.Air, neckField{Key: "air." + a, Name: s.renderer.words.Say("air." + a), Value: values["air."+a]})
	}
	return b, data, err
}

// isFirst reports whether a key that a file may go without is asked for first all
// the same: most necks have it.
func isFirst(k neck.Key) bool { return k.Table == "" || k.Table == "scale" && k.Name == "length" }

// faulty reports whether a field, or one in its rows, is to be mended.
func (f neckField) faulty() bool {
	if f.Fault != "" {
		return true
	}
	for _, r := range f.Rows {
		if slices.ContainsFunc(r.Fields, neckField.faulty) {
			return true
		}
	}
	return false
}

// faultsByKey sorts a file's faults by key; those without one are listed.
func faultsByKey(err error) (byKey map[string]string, rest []string) {
	byKey = map[string]string{}
	var list fileerr.List
	if err != nil && !errors.As(err, &list) {
		return byKey, []string{err.Error()}
	}
	for _, f := range list {
		switch {
		case f.Key == "":
			rest = append(rest, f.Msg)
		case byKey[f.Key] != "":
			byKey[f.Key] += "; " + f.Msg
		default:
			byKey[f.Key] = f.Msg
		}
	}
	return byKey, rest
}

// neckField lays out one key, with its fault beside it.
func (l *renderer) neckField(k neck.Key, key string, v neckValues, faults map[string]string, used map[string]bool) neckField {
	f := neckField{Key: key, Name: strings.ReplaceAll(k.Name, "_", " "), Value: v[key], Meaning: k.Meaning, Required: k.Required, Fault: faults[key]}
	used[key] = true
	hint := []string{k.Value}
	if k.Range != "" {
		hint = append(hint, k.Range)
	}
	if k.Default != "" && !strings.Contains(k.Default, "\n") {
		hint = append(hint, l.words.Say("neck.default", k.Default))
	}
	f.Hint = l.typed(strings.Join(hint, "; "))
	row := func(prefix, legend string) {
		r := neckRow{Legend: legend}
		if legend != "" && faults[prefix] != "" && prefix != key {
			f.Fault = strings.TrimPrefix(f.Fault+"; "+legend+": "+faults[prefix], "; ")
			used[prefix] = true
		}
		for _, p := range k.Parts {
			if p.Parts == nil {
				r.Fields = append(r.Fields, l.neckField(p, prefix+"."+p.Name, v, faults, used))
			}
			for _, q := range p.Parts { // a table in a row: its keys stand in the row
				f := l.neckField(q, prefix+"."+p.Name+"."+q.Name, v, faults, used)
				f.Name = p.Name + ": " + f.Name
				r.Fields = append(r.Fields, f)
			}
		}
		r.fold()
		f.Rows = append(f.Rows, r)
	}
	switch {
	case isList(k):
		for i := range min(v.rows(k)+spareRows, maxRows) {
			row(fmt.Sprintf("%s[%d]", key, i+1), strconv.Itoa(i+1))
		}
	case k.Parts != nil:
		row(key, "")
	}
	return f
}

// fillAnswers adds what plan and wood say, and gives the page's status.
func (s *Server) fillAnswers(ctx context.Context, b *neckBody, v neckValues, data []byte) int {
	m, err := neck.Parse("neck file", data)
	if err != nil {
		return http.StatusUnprocessableEntity // neckBody has said so
	}
	l, err := geometry.New(m)
	if err != nil {
		return http.StatusUnprocessableEntity
	}
	a, err := answer.Plan(ctx, answer.PlanRequest{Model: m, Layout: l, Options: plan.Defaults()})
	if err != nil {
		b.Wrong = append(b.Wrong, plainList(err)...)
	} else {
		b.Plan = a
	}
	ask := answer.WoodRequest{Model: m, Layout: l, Limits: wood.Usual()}
	for _, f := range []struct {
		name string
		q    unit.Quantity
		out  *float64
	}{{"temperature", unit.Temperature, &ask.TempC}, {"humidity", unit.Percent, &ask.HumidityPct}, {"driest", unit.Percent, &ask.DriestPct}, {"dampest", unit.Percent, &ask.DampestPct}} {
		if *f.out, err = f.q.Parse(v["air."+f.name]); err != nil {
			b.Wrong = append(b.Wrong, s.renderer.words.Say("air."+f.name)+": "+err.Error())
			return http.StatusUnprocessableEntity
		}
	}
	if ask.DriestPct > ask.DampestPct {
		b.Wrong = append(b.Wrong, s.renderer.words.Say("neck.driest"))
		return http.StatusUnprocessableEntity
	}
	w, err := answer.Wood(ctx, ask)
	if err != nil {
		b.Wrong = append(b.Wrong, plainList(err)...)
	} else {
		b.Wood = w
	}
	if len(b.Wrong) > 0 {
		return http.StatusUnprocessableEntity
	}
	return http.StatusOK
}
