package archive

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/casetest"
	"ringtrue/internal/num"
)

func more(mm num.Opt) num.Opt { return num.Some(casetest.Value(mm) + 0.01) }

// checkBook is a book of one record of each kind that check tells apart, all
// but the last two by version 2.0: as it should be, with another result, of
// another version with the same and with another result, of an older judgement,
// of a newer one, and twice a neck file that no longer parses.
func checkBook(t *testing.T) (s book.Store, right num.Opt) {
	t.Helper()
	s = tempBook(t)
	var entries []*book.Entry
	for i, change := range []func(*book.Derived){
		nil,
		func(d *book.Derived) { d.ZoneMM = more(d.ZoneMM) },
		func(d *book.Derived) { d.Program = "1.9" },
		func(d *book.Derived) { d.Program, d.ZoneMM = "1.9", more(d.ZoneMM) },
		func(d *book.Derived) { d.Revision = 0 },
		func(d *book.Derived) { d.Revision, d.ZoneMM = 0, more(d.ZoneMM) },
		func(d *book.Derived) { d.Revision, d.ZoneMM = answer.Judge("").Revision+1, more(d.ZoneMM) },
		func(d *book.Derived) { d.Revision = 0 },
		nil,
	} {
		e := &book.Entry{Serial: fmt.Sprintf("041%d", i+1), Stage: "seated", Files: shortFiles(t, 1)}
		err := answer.Judge("2.0").Prepare(context.Background(), e, 0)
		if err != nil {
			t.Fatal(err)
		}
		right = e.Derived.ZoneMM
		if change != nil {
			change(&e.Derived)
		}
		if i >= 7 {
			e.Files.Neck.Bytes = []byte("name = \"written for a program long gone\"\n")
		}
		entries = append(entries, e)
	}
	if _, err := s.Import(context.Background(), entries); err != nil {
		t.Fatal(err)
	}
	return s, right
}

// TestCheckRebuild: what this version judged must come out the same; what an
// older one judged is counted apart and taken over by rebuild; a neck file that
// no longer parses is kept and named.
func TestCheckRebuild(t *testing.T) {
	ctx := context.Background()
	s, right := checkBook(t)
	c, err := Check(ctx, s, answer.Judge("2.0"), Scope{})
	if err != nil || c.OK || c.Records != 9 || c.Older != 3 || c.Newer != 1 {
		t.Fatalf("%+v, %v", c, err)
	}
	for what, list := range map[string]struct {
		got   []Fault
		want  []int64
		words []string
	}{
		"bad":    {c.Bad, []int64{2, 9}, []string{"this version judged it and now gets another result: zone", "heron.toml"}},
		"differ": {c.Differ, []int64{4, 6}, []string{"version 1.9, judgement 2 judged it: zone", "version 2.0 judged it: zone"}},
		"unread": {c.Unread, []int64{8}, []string{"is left as version 2.0 judged it: this version can't read it: heron.toml"}},
	} {
		if len(list.got) != len(list.want) {
			t.Fatalf("%s: %+v", what, list.got)
		}
		for i, f := range list.got {
			if f.Record != list.want[i] || f.Serial != fmt.Sprintf("041%d", f.Record) || !strings.Contains(f.Fault, list.words[i]) {
				t.Errorf("%s: %+v; want record %d, %q", what, f, list.want[i], list.words[i])
			}
		}
	}
	r, err := Rebuild(ctx, s, answer.Judge("2.0"), Scope{})
	if err != nil || r.Records != 9 || r.Changed != 4 || len(r.Unread) != 2 || r.Unread[0].Record != 8 {
		t.Errorf("%+v, %v", r, err)
	}
	if c, err = Check(ctx, s, answer.Judge("2.0"), Scope{}); err != nil || c.Older+c.Newer+len(c.Differ) > 0 || len(c.Bad) != 1 || c.Bad[0].Record != 9 {
		t.Errorf("after rebuild: %+v, %v", c, err)
	}
	if x, err := s.Record(ctx, 6); err != nil || x.Derived.Program != "2.0" || x.Derived.Revision != answer.Judge("").Revision || x.Derived.ZoneMM != right {
		t.Errorf("%+v, %v", x.Derived, err)
	}
	// It can be shown all the same.
	shown, err := answer.BookShow(ctx, s, "0418")
	if err != nil || len(shown.Records) != 1 || shown.Records[0].Fault == "" || shown.Records[0].Damaged || shown.Records[0].Verdict == "" {
		t.Errorf("%+v, %v", shown, err)
	}
}

// A book that only an older version judged is in order: nothing of it is bad.
func TestCheck_OlderIsOK(t *testing.T) {
	ctx := context.Background()
	s := tempBook(t)
	for n := range 3 {
		e := &book.Entry{Serial: fmt.Sprintf("%04d", n+1), Stage: "seated", Files: shortFiles(t, n)}
		err := answer.Judge("1.0").Prepare(ctx, e, 0)
		if err != nil {
			t.Fatal(err)
		}
		e.Derived.Revision = 0
		e.Derived.Verdict = "not level"
		if _, err := s.Add(ctx, e); err != nil {
			t.Fatal(err)
		}
	}
	if c, err := Check(ctx, s, answer.Judge("1.0"), Scope{}); err != nil || !c.OK || c.Records != 3 || c.Older != 3 || len(c.Differ) != 3 || len(c.Bad)+len(c.Unread) > 0 {
		t.Errorf("%+v, %v", c, err)
	}
	// A revision's seal travels with an export.
	out, _ := exportOf(t, s)
	other := tempBook(t)
	if _, err := importInto(t, other, out, false); err != nil {
		t.Fatal(err)
	}
	if c, err := Check(ctx, other, answer.Judge("2.0"), Scope{}); err != nil || !c.OK || c.Older != 3 {
		t.Errorf("in another book: %+v, %v", c, err)
	}
}
