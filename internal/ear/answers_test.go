package ear

import (
	"bytes"
	"strings"
	"testing"

	"ringtrue/internal/play"
)

func TestRead_Faults(t *testing.T) {
	m := heron(t, nil).Model
	for _, c := range []struct{ file, want string }{
		{"string,fret,heard\n1,3,rattles", `a.csv:2: heard: "rattles" is not an answer; use clear or buzzes, or leave it empty`},
		{"string,fret,heard\n1,23,clear", "fret: 23 is outside 0 to 22"},
		{"string,fret,heard\n7,3,clear", "string: 7 is outside 1 to 6"},
		{"string,fret,touch,heard\n1,3,furm,clear", `touch: no such touch "furm"; did you mean firm?`},
		{"string,fret,touch,heard\n1,3,brutal,clear", `touch: no such touch "brutal"; this neck has light, firm, hard`},
		{"string,fret,heard\n1,3,", "heard: has no answer yet; write clear or buzzes for each note played"},
		{"string,heard\n1,clear", "fret: the column is missing"},
		{"method,pass,lane,fret,value,unit\nbeam,1,1,1,0,mm", "is a file of gauge readings; the answers come last and have the columns string,fret,touch,heard"},
		{"", "is empty"},
	} {
		if _, err := Read("a.csv", strings.NewReader(c.file), m, 22); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v, want %s", c.file, err, c.want)
		}
	}
}

// Without a touch setup.judge_by is meant; a row without an answer was not played; the
// same note may be played twice and be heard otherwise.
func TestRead_Answers(t *testing.T) {
	m := heron(t, nil).Model
	got, err := Read("a.csv", strings.NewReader("string,fret,touch,heard\n1,3,hard,Buzzes\n1,3,hard,clear\n2,0,,clear\n2,1,,\n"), m, 22)
	want := []Answer{{1, 3, "hard", true}, {1, 3, "hard", false}, {2, 0, "firm", false}}
	if err != nil || len(got) != len(want) {
		t.Fatalf("%v, %v", got, err)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("%+v, want %+v", got[i], want[i])
		}
	}
}

// The form holds every note; filled in, it reads back.
func TestWriteBlank_ReadsBack(t *testing.T) {
	m := heron(t, nil).Model
	m.Setup.Touch[0].Name = `soft, "by nail"`
	var form bytes.Buffer
	if err := WriteBlank(&form, m, 22, []string{m.Setup.Touch[0].Name, "hard"}); err != nil {
		t.Fatal(err)
	}
	filled := strings.ReplaceAll(form.String(), ",\n", ","+string(play.Clear)+"\n")
	got, err := Read("form.csv", strings.NewReader(filled), m, 22)
	if err != nil || len(got) != 2*6*23 || got[0] != (Answer{6, 0, m.Setup.Touch[0].Name, false}) || got[275] != (Answer{1, 22, "hard", false}) {
		t.Errorf("%d answers, %v", len(got), err)
	}
	if err := WriteBlank(&form, m, 22, []string{"none"}); err == nil || !strings.Contains(err.Error(), "this neck has soft") {
		t.Errorf("a touch that is not there: %v", err)
	}
}
