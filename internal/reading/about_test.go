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
