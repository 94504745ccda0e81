package casetest

import (
	"testing"

	"ringtrue/internal/num"
)

func TestValue_MissingFails(t *testing.T) {
	if Value(num.Some(-0.5)) != -0.5 {
		t.Error("another number")
	}
	defer func() {
		if recover() == nil {
			t.Error("a missing number was given")
		}
	}()
	Value(num.Opt{})
}
