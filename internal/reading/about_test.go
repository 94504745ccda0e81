package reading

import "testing"

func TestColumns_AllDefined(t *testing.T) {
	all := Columns()
	if len(all) != int(columns) {
		t.Fatalf("%d definitions of %d columns", len(all), columns)
	}
	for _, d := range all {
		if d.Name == "" || d.Meaning == "" {
			t.Errorf("column %q has no meaning", d.Name)
		}
	}
}

func TestAbout_EveryMethod(t *testing.T) {
	all := About()
	if len(all) != len(Methods()) {
		t.Fatalf("%d definitions of %d methods", len(all), len(Methods()))
	}
	for _, d := range all {
		if d.Meaning == "" {
			t.Errorf("method %q has no meaning", d.Name)
		}
	}
}
