package name

import (
	"strings"
	"testing"
	"unicode"

	"pgregory.net/rapid"
)

// What is typed in any script passes; what can't be seen, or leads out of a
// folder, is named with what to do.
func TestTyped(t *testing.T) {
	for _, good := range []string{"", "0412", "Inés O'Neill", "dial 0.01/beam", "ハル 3", "می\u200cروم", "12..14", "a…b"} {
		if why := Typed(good); why != "" {
			t.Errorf("%q: %s", good, why)
		}
	}
	for bad, says := range map[string]string{
		"04\u202e21": "(U+202E); type it by hand", "a\u2066b": "U+2066", "\u200f1": "U+200F", "a\nb": "U+000A", "a\x00": "U+0000", "x\u2028": "U+2028",
		"\ufeff1": "U+FEFF", "a\u200b": "U+200B", "\u00ad": "U+00AD", "a\xff": "not plain text", "../x": "has ../", `x\..\y`: `has ..\`, "�": "U+FFFD",
	} {
		if why := Typed(bad); !strings.Contains(why, says) {
			t.Errorf("%q: %q", bad, why)
		}
	}
}

func TestTypedSerial(t *testing.T) {
	for _, good := range []string{"", "0412", "04.12", "H-7 b", "0412é", "می\u200cروم", "ハル3"} {
		if why := TypedSerial(good); why != "" {
			t.Errorf("%q: %s", good, why)
		}
	}
	for bad, says := range map[string]string{"a/b": "use letters, digits", `a\b`: "use letters", " 1": "space", ".x": "point", "..": "point", "../1": "leads out", "a\tb": "U+0009",
		"04\u00a012": "(U+00A0); type it by hand", "04\u200d12": "U+200D", "\u200c0412": "U+200C", "0412\u200d": "U+200D", "04\ufe0f": "U+FE0F", "04\u115f12": "U+115F",
		"0412\u3164": "U+3164", "04\u2800": "U+2800", "04\u300012": "U+3000", "04\u034f12": "U+034F"} {
		if why := TypedSerial(bad); !strings.Contains(why, says) {
			t.Errorf("%q: %q", bad, why)
		}
	}
}

// Every letter that turns the direction of text is hidden, and no name of letters,
// digits and marks is refused.
func TestTyped_AnyText(t *testing.T) {
	for r := range unicode.MaxRune {
		if unicode.Is(unicode.Bidi_Control, r) && !Hidden(r) {
			t.Errorf("%U", r)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		seen := rapid.RuneFrom(nil, unicode.L, unicode.Nd, unicode.M).Filter(func(r rune) bool {
			return !unicode.In(r, unicode.Other_Default_Ignorable_Code_Point, unicode.Variation_Selector)
		})
		word := rapid.StringOf(seen).Draw(t, "word")
		if why := TypedSerial(word); why != "" {
			t.Errorf("%q: %s", word, why)
		}
		bad := rapid.RuneFrom(nil, unicode.Cc, unicode.Bidi_Control).Draw(t, "bad")
		if Typed(word+string(bad)+word) == "" {
			t.Errorf("%q with %U passes", word, bad)
		}
	})
}

// What is visible shows nothing hidden, and plain names stay as they are.
func TestVisible(t *testing.T) {
	if got := Visible("a\x1b[31mb\u202e\n\u061c.csv\xff"); got != `a\x1b[31mb\u202e\n\u061c.csv`+"\ufffd" {
		t.Errorf("%q", got)
	}
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.String().Draw(t, "text")
		got := Visible(text)
		if strings.ContainsFunc(got, func(r rune) bool { return Hidden(r) && r != '\ufffd' }) {
			t.Errorf("%q shows %q", text, got)
		}
		if !strings.ContainsFunc(text, Hidden) && got != text {
			t.Errorf("%q became %q", text, got)
		}
	})
}
