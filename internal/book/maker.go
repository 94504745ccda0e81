package book

import (
	"fmt"
	"strconv"
	"strings"
)

const (
	makerMark = " (judgement "
	makerEnd  = ")"
)

// Maker is the version of the program and the revision of its judgement in one
// text, as the book keeps it: "1.0 (judgement 2)". Without a revision it is the
// version alone, as books had it before revisions were counted: their checksums and
// tables stay as they are.
func (d *Derived) Maker() string {
	if d.Program == "" || d.Revision <= 0 {
		return d.Program
	}
	return d.Program + makerMark + strconv.Itoa(d.Revision) + makerEnd
}

// SetMaker takes what Maker gives apart again. Any other text is a version
// without a revision.
func (d *Derived) SetMaker(text string) {
	d.Program, d.Revision = text, 0
	program, rest, found := strings.Cut(text, makerMark)
	number, ended := strings.CutSuffix(rest, makerEnd)
	if n, err := strconv.Atoi(number); found && ended && err == nil && n > 0 && program != "" && number == strconv.Itoa(n) {
		d.Program, d.Revision = program, n
	}
}

// MakerText names who worked it out, for people.
func (d *Derived) MakerText() string {
	if d.Revision == 0 {
		return fmt.Sprintf("version %s", d.Program)
	}
	return fmt.Sprintf("version %s, judgement %d", d.Program, d.Revision)
}
