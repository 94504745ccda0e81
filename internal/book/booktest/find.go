package booktest

import (
	"context"
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"ringtrue/internal/book"
)

func testFilter(t *testing.T, s book.Store, _ *Clock) {
	var in []*book.Entry
	for n := range 40 {
		in = append(in, Entry(n, "seated", 1))
		if n%4 == 0 {
			in = append(in, Entry(n, "levelled", 2))
		}
	}
	in[7].Tags = book.Tags{"xwire": "lot6", "note": `"wire":"lot6"`}
	in[1].Serial = "late B%1"
	must[[]book.Receipt](t)(s.Import(context.Background(), in))
	picks := func(f book.Filter, keep func(e *book.Entry) bool) {
		t.Helper()
		want := 0
		for _, e := range in {
			if keep(e) {
				want++
			}
		}
		if got := count(t, s, f); got != want || want == 0 {
			t.Errorf("filter %+v picks %d; want %d, above 0", f, got, want)
		}
	}
	day := in[0].Derived.Taken.AddDate(0, 0, 10)
	picks(book.Filter{}, func(*book.Entry) bool { return true })
	picks(book.Filter{Stage: "levelled"}, func(e *book.Entry) bool { return e.Stage == "levelled" })
	picks(book.Filter{Model: "Heron 22"}, func(*book.Entry) bool { return true })
	picks(book.Filter{Serial: in[3].Serial}, func(e *book.Entry) bool { return e.Serial == in[3].Serial })
	picks(book.Filter{Part: "0003"}, func(e *book.Entry) bool { return strings.Contains(e.Serial, "0003") })
	picks(book.Filter{Part: "LATE b%", Stage: "levelled"}, func(e *book.Entry) bool { return e == in[1] })
	picks(book.Filter{Tags: book.Tags{"wire": "lot6"}}, func(e *book.Entry) bool { return e.Tags["wire"] == "lot6" })
	picks(book.Filter{Tags: book.Tags{"wire": "lot6", "press": "arbor"}}, func(e *book.Entry) bool { return e.Tags["wire"] == "lot6" })
	picks(book.Filter{Since: day}, func(e *book.Entry) bool { return !e.Derived.Taken.Before(day) })
	picks(book.Filter{Until: day}, func(e *book.Entry) bool { return e.Derived.Taken.Before(day) })
	for _, f := range []book.Filter{{Stage: "polished"}, {Model: "Wren"}, {Part: "0_0"}, {Tags: book.Tags{"wire": "lot"}}} {
		if n := count(t, s, f); n != 0 {
			t.Errorf("filter %+v picks %d", f, n)
		}
	}
	necks := must[[]book.Neck](t)(s.Necks(context.Background(), book.Filter{Stage: "levelled"}, book.Page{}))
	if len(necks) != 10 || necks[0].Records != 2 || strings.Join(necks[0].Stages, " ") != "seated levelled" || necks[0].Model != "Heron 22" {
		t.Errorf("%d necks, the first %+v", len(necks), necks[0])
	}
	stop := errors.New("enough")
	if err := s.Scan(context.Background(), book.Filter{}, book.CrownColumns, func(*book.Row) error { return stop }); !errors.Is(err, stop) {
		t.Errorf("a callback's error came back as %v", err)
	}
}

// Every book finds the same letters alike; the want is by Go's own folding.
func testPart(t *testing.T, s book.Store, _ *Clock) {
	serials := []string{"MÜHLE 7", "mühle 8", "Muhle 9", "ΣΊΣΥΦΟΣ", "Ёлка-1", "ÅSE", "12 \u212a", "k 3", "straße", "II STRAẞ", "ǅ4", "i İ ı"}
	for i, serial := range serials {
		e := Entry(i, "seated", 1)
		e.Serial = serial
		add(t, s, e)
	}
	for part, want := range map[string]int{
		"mühle": 2, "MÜHLE": 2, "Muhle": 1, "ü": 2, "σίσυφος": 1, "σίΣ": 1, "ёЛКА": 1, "åse": 1, "Åse": 1,
		"k": 2, "\u212a": 2, "s": 3, "ſ": 3, "straSSe": 0, "STRAße": 1, "ß": 2, "STRAß": 2, "ǆ4": 1, "Ǆ": 1,
		"%": 0, "_": 0, "'": 0, "ü\x00": 0, "\xff": 0, strings.Repeat("ü", 65): 0,
	} {
		if got := count(t, s, book.Filter{Part: part}); got != want {
			t.Errorf("part %q picks %d; want %d", part, got, want)
		}
		necks := must[[]book.Neck](t)(s.Necks(context.Background(), book.Filter{Part: part}, book.Page{Most: 50}))
		if len(necks) != want {
			t.Errorf("part %q lists %d necks; want %d", part, len(necks), want)
		}
	}
	for _, serial := range serials {
		for _, form := range []string{serial, strings.ToUpper(serial), strings.ToLower(serial)} {
			want := 0
			for _, other := range serials {
				if strings.EqualFold(other, form) {
					want++
				}
			}
			if got := count(t, s, book.Filter{Part: form}); got != want {
				t.Errorf("the whole serial %q picks %d; want %d", form, got, want)
			}
		}
	}
}

func testPages(t *testing.T, s book.Store, _ *Clock) {
	var in []*book.Entry
	for n := range 25 {
		in = append(in, Entry(n, "seated", 1))
	}
	must[[]book.Receipt](t)(s.Import(context.Background(), in))
	var seen []string
	after := ""
	for range 10 {
		page := must[[]book.Neck](t)(s.Necks(context.Background(), book.Filter{}, book.Page{After: after, Most: 7}))
		if len(page) == 0 {
			break
		}
		for _, n := range page {
			seen = append(seen, n.Serial)
		}
		after = seen[len(seen)-1]
	}
	all := must[[]string](t)(s.Serials(context.Background()))
	if len(all) != 25 || !reflect.DeepEqual(seen, all) {
		t.Errorf("pages %v\nall %v", seen, all)
	}
}

func testWalk(t *testing.T, s book.Store, _ *Clock) {
	ctx := context.Background()
	e := Entry(2, "seated", 1)
	e.Number = 40
	must[[]book.Receipt](t)(s.Import(ctx, []*book.Entry{Entry(1, "seated", 1), e}))
	var walked []int64
	for n := int64(0); ; {
		n = must[int64](t)(s.Next(ctx, n))
		if n == 0 {
			break
		}
		walked = append(walked, n)
	}
	if last := must[int64](t)(s.Last(ctx)); fmt.Sprint(walked) != "[1 40]" || last != 40 {
		t.Errorf("walked %v, last %d", walked, last)
	}
}
