package text_test

import (
	"strings"
	"testing"

	"ringtrue/internal/reading"
	"ringtrue/internal/text"
)

// Every method has its words: a page, a file's definition or the glossary would
// leave them blank in silence.
func TestOfMethod_EveryMethod(t *testing.T) {
	for _, m := range reading.Methods() {
		said := text.OfMethod(m)
		for what, words := range map[string]string{"Name": said.Name, "Hint": said.Hint, "How": said.How, "Tool": said.Tool, "Says": said.Says, "Word": said.Word} {
			if words == "" || strings.HasSuffix(words, ".") {
				t.Errorf("%s: %s is %q; say it, without a full stop", m, what, words)
			}
		}
		if led := m.Spec().Led; led != (strings.Count(said.Stand, "%s") == 1) || led != (said.Example == "") {
			t.Errorf("%s: Stand %q is of methods that the bench leads, Example %q of the others", m, said.Stand, said.Example)
		}
	}
	if said := text.OfMethod("none"); said.Name != "" {
		t.Errorf("a method that is none: %+v", said)
	}
}
