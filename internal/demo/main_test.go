package demo

import (
	"testing"

	"ringtrue/internal/casetest"
)

func TestMain(m *testing.M) { casetest.Main(m) }
