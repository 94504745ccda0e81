package neck

import (
	"fmt"
	"regexp"
	"strings"
	"testing"
)

// A template parses as it is, and for any usual scale, frets and radius.
func TestTemplate_NeedsOnlyScaleFretsRadius(t *testing.T) {
	for _, like := range Templates() {
		text, err := Template(like)
		if err != nil {
			t.Fatal(err)
		}
		if n := strings.Count(text, "# <-"); n != 3 {
			t.Errorf("%s: %d arrows, want 3", like, n)
		}
		parse(t, text)
		for _, scale := range []string{"480 mm", "25.5 in", "900 mm"} {
			for _, frets := range []int{12, 19, 24, 27} {
				for _, radius := range []string{`"flat"`, `"184 mm"`, `["10 in", "16 in"]`} {
					m := parse(t, edit(t, edit(t, edit(t, text, "length", `"`+scale+`"`), "frets", fmt.Sprint(frets)), "radius", radius))
					if m.Scale.Frets != frets {
						t.Errorf("%s: %d frets, want %d", like, m.Scale.Frets, frets)
					}
				}
			}
		}
	}
	if _, err := Template("banjo"); err == nil || !strings.Contains(err.Error(), "electric, acoustic, bass") {
		t.Errorf("banjo: %v", err)
	}
}

func edit(t *testing.T, text, key, value string) string {
	t.Helper()
	re := regexp.MustCompile(`(?m)^` + key + ` = [^#\n]*`)
	if n := len(re.FindAllString(text, -1)); n != 1 {
		t.Fatalf("%s stands %d times", key, n)
	}
	return re.ReplaceAllLiteralString(text, key+" = "+value)
}

// What a template shows commented out is right as well.
func TestTemplate_CommentedLinesHold(t *testing.T) {
	re := regexp.MustCompile(`(?m)^# (\w+ = .*)$`)
	tried := 0
	for _, like := range Templates() {
		text, _ := Template(like)
		for _, m := range re.FindAllStringSubmatch(text, -1) {
			on := with(t, text, m[0], m[1])
			switch {
			case strings.HasPrefix(m[1], "bass"):
				on = regexp.MustCompile(`(?m)^length = .*$`).ReplaceAllString(on, "")
				on = strings.Replace(on, "# treble", "treble", 1)
			case strings.HasPrefix(m[1], "treble"):
				continue // goes with bass
			}
			parse(t, on)
			tried++
		}
	}
	if tried < 10 {
		t.Errorf("only %d lines tried", tried)
	}
}

// The definition tells all that a maker must know of a key.
func TestKeys_Complete(t *testing.T) {
	seen := map[string]bool{}
	var check func(keys []Key)
	check = func(keys []Key) {
		for _, k := range keys {
			name := join(k.Table, k.Name)
			if seen[name] {
				t.Errorf("%s stands twice", name)
			}
			seen[name] = true
			if k.Meaning == "" || k.Value == "" {
				t.Errorf("%s: no meaning or value", name)
			}
			if (k.Default == "") != k.Required {
				t.Errorf("%s: required %v, default %q", name, k.Required, k.Default)
			}
			if strings.HasPrefix(k.Value, "length") && (k.Unit != "mm" || k.Range == "") {
				t.Errorf("%s: unit %q, range %q", name, k.Unit, k.Range)
			}
			check(k.Parts)
		}
	}
	check(Keys())
	for _, name := range []string{"name", "scale.square_at", "board.radius_within", "neck.joint", "strings.set.at",
		"strings.damping.square", "wire.crown_radius", "slot.floor_gap", "level.fall_away.form", "setup.touch.from_saddle", "minutes.reseat"} {
		if !seen[name] {
			t.Errorf("%s is not defined", name)
		}
	}
}
