package cli

import (
	"encoding/json"
	"fmt"
	"hash/fnv"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/spf13/cobra"
)

// numbersFile holds what the calls answer, texts left out.
const numbersFile = "testdata/numbers.txt"

// numberCalls is at least one call of every command with --json, on the examples and
// a book of four invented necks, in this order. Texts that they answer may change,
// nothing else may.
func numberCalls() []string {
	return []string{
		"version",
		"board heron.toml heron-board.csv",
		"frets heron.toml heron-seated.csv --by Ines --minutes",
		"frets heron.toml heron-feelers.csv",
		"frets heron.toml heron-seated.csv --after heron-levelled.csv",
		"frets heron-bass.toml heron-bass-strung.csv",
		"frets heron.toml heron-feelers.csv --what-to-read",
		"play heron.toml heron-seated.csv",
		"play heron.toml heron-seated.csv --tune --as-planned",
		"play heron.toml --string 6 --fret 3 --strip note.svg",
		"play heron.toml --study zone=0.03 --necks 20 --seed 2",
		"play small.toml --all-notes --seconds 0.5 --wav played.wav",
		"listen small.toml played.wav --strings 1,2",
		"ear heron.toml heard.csv",
		"relief heron-bass.toml",
		"setup heron.toml heron-seated.csv --first-gap 0.6mm --action 2mm,2.4mm",
		"setup heron.toml --first-gap 0.6mm --action 2mm --bridge-top -2mm",
		"plan heron.toml --driest 20",
		"plan heron-slant.toml",
		"wood heron.toml --humidity 60",
		"wood --species",
		"gauge gauge-study.csv --tolerance 0.03mm",
		"glue heron.toml",
		"book demo --necks 4",
		"book add 0412 heron.toml heron-seated.csv --stage seated",
		"book list",
		"book show 1003",
		"book compare 1003 levelled serviced",
		"book card 1003",
		"book check",
		"book rebuild",
		"book hand",
		"book times --on 2026-05-01",
		"book label 1003 label.svg",
		"book export out",
		"book import out --book copy.db",
		"book backup second.db",
		"book salvage second.db third.db",
		"book note 1003 waiting for wire --by Ines",
		"shop --all",
		"drift --of zone --stage seated --at-most 0.03mm --by wire --ewma 0.2 --cusum 0.5,5",
		"drift --of pattern --stage seated --by wire",
	}
}

// TestNumbers_NoneMovesWithTheWords holds every number, verdict, code and name of
// the answers to what they were, and their order. Write the file anew only where
// numbers are to change: UPDATE_NUMBERS=1 go test ./internal/cli -run TestNumbers
func TestNumbers_NoneMovesWithTheWords(t *testing.T) {
	golden, err := filepath.Abs(numbersFile)
	if err != nil {
		t.Fatal(err)
	}
	besideExamples(t)
	smallNeck(t)
	var all []string
	for _, call := range numberCalls() {
		var answer any
		if err := json.Unmarshal([]byte(listing(t, false, call, "--json")), &answer); err != nil {
			t.Fatalf("%s: %v", call, err)
		}
		s := summary{}
		s.add("", "", answer)
		all = append(append(all, "# "+call), s.lines()...)
	}
	if os.Getenv("UPDATE_NUMBERS") != "" {
		if err := os.WriteFile(golden, []byte(strings.Join(all, "\n")+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	for _, fault := range unlike(all, strings.Split(strings.TrimSpace(string(want)), "\n")) {
		t.Error(fault)
	}
}

// smallNeck writes a small neck, whose recording is short, and answers by ear.
func smallNeck(t *testing.T) {
	t.Helper()
	for name, text := range map[string]string{
		"small.toml": "name = \"Small\"\n[scale]\nlength = \"640 mm\"\nfrets = 3\n[board]\nradius = \"300 mm\"\nwidth = [\"43 mm\", \"50 mm\"]\n" +
			"[strings]\nspread = \"20 mm\"\nset = [{ pitch = \"E4\", gauge = \"0.010 in\" }, { pitch = \"B3\", gauge = \"0.013 in\" }]\n" +
			"[level]\nzone = \"0.03 mm\"\n",
		"heard.csv": "string,fret,heard\n3,0,buzzes\n1,5,buzzes\n2,5,buzzes\n1,3,clear\n1,8,clear\n",
	} {
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// textFields are the fields whose strings are sentences, or parts of them. One word
// alone is a word that others may act on ("knocked"), and counts there too.
func textFields() []string {
	return []string{
		"advice", "assumed", "bends_words", "cautions", "coefficient_note", "cure", "do", "does", "filing", "finding", "from_memory",
		"heading", "headline", "heard", "how", "level_and_ring", "means", "next", "nipping", "notes", "of", "order", "planted", "put",
		"reaches", "rests_on_words", "says", "source", "step", "steps", "stop", "summary", "text", "warnings", "why", "why_not", "words",
		"go", "program", "version", // of the build
	}
}

// mostWords is how many words a name or a fixed term has; more are a sentence.
const mostWords = 6

// word is what counts of a string of a field: nothing of a text or of this moment.
func word(field, s string) string {
	for _, layout := range []string{time.RFC3339, time.DateOnly} {
		if at, err := time.Parse(layout, s); err == nil && time.Since(at).Abs() < 48*time.Hour {
			return "(now)"
		}
	}
	if len(strings.Fields(s)) > mostWords || slices.Contains(textFields(), field) && strings.ContainsAny(s, " .") {
		return "(text)"
	}
	return s
}

// summary has the values of an answer, by path.
type summary map[string]*values

// values are those of one path, in their order.
type values struct {
	numbers []float64
	words   []string
}

func (s summary) add(path, field string, v any) {
	if s[path] == nil {
		s[path] = &values{}
	}
	switch v := v.(type) {
	case map[string]any:
		for _, name := range slices.Sorted(maps.Keys(v)) {
			s.add(strings.TrimPrefix(path+"."+name, "."), name, v[name])
		}
	case []any:
		if len(v) == 0 {
			s[path].words = append(s[path].words, "[]")
		}
		for _, e := range v {
			s.add(path+"[]", field, e)
		}
	case float64:
		if strings.HasPrefix(field, "waited") { // until now
			v = 0
		}
		s[path].numbers = append(s[path].numbers, v)
	case string:
		s[path].words = append(s[path].words, word(field, v))
	default: // true, false, null
		s[path].words = append(s[path].words, fmt.Sprint(v))
	}
}

// lines give for each path how many numbers it has, their sum, one that depends on
// their order, and the sum of their sizes; and its words, long ones by a checksum.
func (s summary) lines() []string {
	var lines []string
	for _, path := range slices.Sorted(maps.Keys(s)) {
		v := s[path]
		if n := len(v.numbers); n > 0 {
			plain, ordered, size := 0.0, 0.0, 0.0
			for i, x := range v.numbers {
				_, part := math.Modf(float64(i+1) * math.Phi)
				plain, ordered, size = plain+x, ordered+x*part, size+math.Abs(x)
			}
			lines = append(lines, fmt.Sprintf("%s\t%d %.10g %.10g %.3g", path, n, plain, ordered, size))
		}
		if n := len(v.words); n > 0 {
			text := strings.Join(v.words, ",")
			if len(text) > 60 {
				sum := fnv.New64a()
				sum.Write([]byte(text))
				text = fmt.Sprintf("%d %x %.40s", n, sum.Sum64(), text)
			}
			lines = append(lines, fmt.Sprintf("%s =\t%s", path, text))
		}
	}
	return lines
}

// unlike says where lines differ from those that are wanted, numbers by more than
// other processors round.
func unlike(got, want []string) (faults []string) {
	was, is := byPath(want), byPath(got)
	for _, where := range slices.Sorted(maps.Keys(was)) {
		if now, ok := is[where]; !ok {
			faults = append(faults, where+" is gone")
		} else if !nearly(was[where], now, within(where)) {
			faults = append(faults, fmt.Sprintf("%s was %s, is %s", where, was[where], now))
		}
	}
	for _, where := range slices.Sorted(maps.Keys(is)) {
		if _, ok := was[where]; !ok {
			faults = append(faults, where+" is new")
		}
	}
	return faults
}

// byPath are lines' values by call and path.
func byPath(lines []string) map[string]string {
	values, call := map[string]string{}, ""
	for _, line := range lines {
		if path, value, ok := strings.Cut(line, "\t"); ok {
			values[call+": "+path] = value
		} else {
			call = line
		}
	}
	return values
}

// within is by how much of their size numbers may differ: what processors round, and
// of a limit that is drawn (wear's guard) what another last digit draws otherwise.
func within(where string) float64 {
	if strings.HasSuffix(where, "guard") || strings.HasSuffix(where, "sees_mm") {
		return 0.05
	}
	return 1e-8
}

// nearly says whether two values are the same words, or numbers whose sums agree to
// within a share of their sizes.
func nearly(was, is string, share float64) bool {
	a, b := strings.Fields(was), strings.Fields(is)
	if was == is || len(a) != 4 || len(b) != 4 || a[0] != b[0] {
		return was == is
	}
	size, err := strconv.ParseFloat(a[3], 64)
	for i := 1; i < 3 && err == nil; i++ {
		var x, y float64
		if x, err = strconv.ParseFloat(a[i], 64); err == nil {
			y, err = strconv.ParseFloat(b[i], 64)
		}
		if !(math.Abs(x-y) <= share*size) {
			return false
		}
	}
	return err == nil
}

// Every command with --json is called, and every sentence's field is listed.
func TestNumbers_AllCommands(t *testing.T) {
	var walk func(c *cobra.Command)
	found := 0
	walk = func(c *cobra.Command) {
		for _, sub := range c.Commands() {
			walk(sub)
		}
		name := strings.TrimPrefix(c.CommandPath(), "ringtrue ")
		if c.HasSubCommands() || c.Flags().Lookup("json") == nil && c.InheritedFlags().Lookup("json") == nil {
			return
		}
		found++
		if !slices.ContainsFunc(numberCalls(), func(call string) bool { return call == name || strings.HasPrefix(call, name+" ") }) {
			t.Errorf("%s has --json and no call in numberCalls", name)
		}
	}
	walk(Commands())
	if found < 25 {
		t.Errorf("%d commands have --json: the search is broken", found)
	}
}

// The comparison must be able to fail, and pass over a text.
func TestNumbers_FaultsAreSeen(t *testing.T) {
	line := func(answer string) []string {
		var v any
		if err := json.Unmarshal([]byte(answer), &v); err != nil {
			t.Fatal(err)
		}
		s := summary{}
		s.add("", "", v)
		return s.lines()
	}
	was := line(`{"a": [{"n": 1, "why": "so it is"}, {"n": 2.5, "why": "and so"}], "verdict": "level"}`)
	for answer, faults := range map[string]int{
		`{"a": [{"n": 1, "why": "said otherwise"}, {"n": 2.5, "why": "with a . in it"}], "verdict": "level"}`: 0,
		`{"a": [{"n": 1.000000001, "why": "so it is"}, {"n": 2.5, "why": "and so"}], "verdict": "level"}`:     0,
		`{"a": [{"n": 1.00001, "why": "so it is"}, {"n": 2.5, "why": "and so"}], "verdict": "level"}`:         1,
		`{"a": [{"n": 2.5, "why": "so it is"}, {"n": 1, "why": "and so"}], "verdict": "level"}`:               1,
		`{"a": [{"n": 1, "why": "so it is"}, {"n": 2.5, "why": "and so"}], "verdict": "not level"}`:           1,
		`{"a": [{"n": 1, "why": "knocked"}, {"n": 2.5, "why": "and so"}], "verdict": "level"}`:                1,
		`{"a": [{"m": 1, "why": "so it is"}, {"m": 2.5, "why": "and so"}], "verdict": "level"}`:               2,
		`{"a": [], "verdict": "level"}`: 3,
	} {
		if got := unlike(line(answer), was); len(got) != faults {
			t.Errorf("%s: %q, want %d faults", answer, got, faults)
		}
	}
}
