package inhand

import (
	"slices"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/glue"
	"ringtrue/internal/straight"
)

// at is a moment of Monday, 2 March 2026, or of another day of that month.
func at(clock string) time.Time {
	form := "15:04"
	if strings.Contains(clock, " ") {
		form = "2 15:04"
	}
	t, err := time.Parse(form, clock)
	if err != nil {
		panic(err)
	}
	day := t.Day()
	if form == "15:04" {
		day = 2
	}
	return time.Date(2026, 3, day, t.Hour(), t.Minute(), 0, 0, time.UTC)
}

// TestUnderstand: what a maker says, and what it means.
func TestUnderstand(t *testing.T) {
	made := at("15:00")
	for _, c := range []struct {
		said string
		want Word
	}{
		{"glued", Word{Kind: Glued, At: made}},
		{"Glued.", Word{Kind: Glued, At: made}},
		{"glued at 13:50", Word{Kind: Glued, At: at("13:50")}},
		{"glued at 1:50 pm", Word{Kind: Glued, At: at("13:50")}},
		{"glued at 13:50 with hide", Word{Kind: Glued, At: at("13:50"), Glue: glue.Hide}},
		{"glued with hide glue at 13:50", Word{Kind: Glued, At: at("13:50"), Glue: glue.Hide}},
		{"glued fret 7 at 9.05 with thin CA and activator", Word{Kind: Glued, At: at("09:05"), Glue: glue.Thin, Activator: true, Frets: "fret 7"}},
		{"glue setting until 18:10", Word{Kind: Glued, At: made, Until: at("18:10")}}, // as shop prints it
		{"glue setting until tomorrow 09:50", Word{Kind: Glued, At: made, Until: at("3 09:50")}},
		{"glue setting until 2026-03-05 13:50", Word{Kind: Glued, At: made, Until: at("5 13:50")}},
		{"glued until 14:00", Word{Kind: Glued, At: made, Until: at("3 14:00")}},
		{"glued until it holds", Word{Kind: Text, At: made}},
		{"glue has set", Word{Kind: IsDry, At: made}},
		{"glued at 15:02", Word{Kind: Glued, At: made}}, // the clock on the wall is fast
		{"glued with activator", Word{Kind: Glued, At: made, Activator: true}},
		{"glued with epoxy slow", Word{Kind: Glued, At: made, Glue: glue.EpoxySlow}},
		{"glued at 17:30", Word{Kind: Glued, At: at("1 17:30")}}, // still to come today: yesterday
		{"glued yesterday at 12:00", Word{Kind: Glued, At: at("1 12:00")}},
		{"glued yesterday", Word{Kind: Glued, At: at("1 15:00")}},
		{"glued with hide and activator", Word{Kind: Text, At: made}}, // no such thing
		{"glued with jam", Word{Kind: Text, At: made}},
		{"glued the nut", Word{Kind: Text, At: made}},
		{"glued at 25:70", Word{Kind: Text, At: made}},
		{"handed to Ines", Word{Kind: Handed, At: made, Who: "Ines"}},
		{"Handed to Anne Marie at 14:00", Word{Kind: Handed, At: at("14:00"), Who: "Anne Marie"}},
		{"Ines has it", Word{Kind: Handed, At: made, Who: "Ines"}},
		{"waiting for wire", Word{Kind: Waiting, At: made, For: "wire"}},
		{"wire is here", Word{Kind: Here, At: made}},
		{"pressed fret 7", Word{Kind: Pressed, At: made}},
		{"pressed fret 7, glued with hide", Word{Kind: Glued, At: made, Glue: glue.Hide}},
		{"pressed fret 7, not glued", Word{Kind: Text, At: made}},
		{"rod set", Word{Kind: Pressed, At: made}},
		{"levelled at 14:30", Word{Kind: Filed, At: at("14:30")}},
		{"strung", Word{Kind: IsStrung, At: made}},
		{"drying", Word{Kind: Drying, At: made}},
		{"drying until 2026-03-09", Word{Kind: Drying, At: made, Until: at("9 00:00")}},
		{"drying until 15:50", Word{Kind: Drying, At: made, Until: at("15:50")}},
		{"drying until spring", Word{Kind: Text, At: made}},
		{"done", Word{Kind: Gone, At: made}},
		{"sold to Ørjan", Word{Kind: Gone, At: made, Who: "Ørjan"}},
		{"the nut slot is loose", Word{Kind: Text, At: made}},
	} {
		c.want.Said, c.want.Told = c.said, made
		if got := Understand(c.said, "", Moment(c.said, made), made); got.Kind != c.want.Kind || c.want.Kind != Text && got != c.want {
			t.Errorf("%q: %+v\nwant %+v", c.said, got, c.want)
		}
	}
}

// FuzzUnderstand: no note makes the program stumble, none speaks of a time to come, and
// the note's kept moment does not change what it means.
func FuzzUnderstand(f *testing.F) {
	for _, s := range []string{"glued at 13:50 with hide", "handed to İnes", "waiting for wire", "drying until 2026-03-09", "glued yesterday at 12:00 am"} {
		f.Add(s)
	}
	made := at("15:00")
	f.Fuzz(func(t *testing.T, said string) {
		when := Moment(said, made)
		if when.After(made) {
			t.Errorf("%q speaks of %v", said, when)
		}
		if a, b := Understand(said, "", when, made), Understand(said, "", made, made); a.Kind != b.Kind || a.Who != b.Who {
			t.Errorf("%q: %+v, then %+v", said, a, b)
		}
	})
}

// says is a note of a moment.
func says(clock, said string) Word {
	made := at(clock)
	return Understand(said, "", Moment(said, made), made)
}

// TestOf: stage words, verdicts and notes, and what the neck needs next. It is Monday,
// 15:00; glue needs two hours.
func TestOf(t *testing.T) {
	record := func(clock, stage string, v straight.Verdict, off int) []Record {
		return []Record{{Number: 1, Stage: stage, Verdict: v, FretsOff: off, By: "Tom", At: at(clock)}}
	}
	seated := record("12:00", "seated", straight.NotLevel, 1)
	for name, c := range map[string]struct {
		records []Record
		words   []Word
		step    Step
		turn    Turn
		when    time.Time // Until of what waits for a time, else Since
		who     string
	}{
		"nothing known":                      {nil, nil, Read, Now, time.Time{}, ""},
		"to be read":                         {record("12:00", "bare", "", 0), nil, Read, Now, at("12:00"), "Tom"},
		"board too wet":                      {[]Record{{At: at("12:00"), Dry: at("9 09:00")}}, nil, Dry, Later, at("9 09:00"), ""},
		"board dry since the morning":        {[]Record{{At: at("1 12:00"), Dry: at("09:00")}}, nil, Read, Now, at("09:00"), ""},
		"a fret does not sit":                {seated, nil, Press, Now, at("12:00"), "Tom"},
		"high frets only":                    {record("12:00", "seated", straight.NotLevel, 0), nil, Level, Now, at("12:00"), "Tom"},
		"in doubt":                           {record("12:00", "seated", straight.InDoubt, 0), nil, ReadAgain, Now, at("12:00"), "Tom"},
		"level, no strings":                  {record("12:00", "levelled", straight.Level, 0), nil, String, Now, at("12:00"), "Tom"},
		"strung and level":                   {record("12:00", "strung", straight.Level, 0), nil, Play, Now, at("12:00"), "Tom"},
		"strung, not level":                  {record("12:00", "Strung again", straight.NotLevel, 0), nil, Level, Now, at("12:00"), "Tom"},
		"a stage that is the end":            {record("12:00", "sold", straight.Level, 0), nil, Done, Over, at("12:00"), "Tom"},
		"pressed":                            {seated, []Word{says("14:00", "pressed")}, ReadAfter, Now, at("14:00"), "Tom"},
		"glue sets":                          {seated, []Word{says("15:00", "glued at 13:50")}, Setting, Later, at("15:50"), "Tom"},
		"glue has set":                       {seated, []Word{says("12:30", "glued")}, ReadAfter, Now, at("14:30"), "Tom"},
		"read since it was glued":            {record("14:00", "seated", straight.Level, 0), []Word{says("13:55", "glued at 13:50")}, Setting, Later, at("15:50"), "Tom"},
		"read since it had set":              {record("14:00", "seated", straight.Level, 0), []Word{says("11:55", "glued at 11:50")}, String, Now, at("14:00"), "Tom"},
		"read since, and said to have set":   {record("14:00", "seated", straight.Level, 0), []Word{says("13:55", "glued"), says("14:10", "glue has set")}, String, Now, at("14:00"), "Tom"},
		"glued, then another pressed":        {seated, []Word{says("14:00", "glued fret 7"), says("14:05", "pressed fret 9")}, Setting, Later, at("16:00"), "Tom"},
		"glued, then said to be strung":      {seated, []Word{says("14:00", "glued"), says("14:05", "strung")}, Setting, Later, at("16:00"), "Tom"},
		"one sets longer than the next":      {seated, []Word{says("14:00", "glue setting until 18:00"), says("14:05", "glued fret 9")}, Setting, Later, at("18:00"), "Tom"},
		"the same glue, put right":           {seated, []Word{says("14:00", "glue setting until 18:00"), says("14:05", "glued")}, Setting, Later, at("16:05"), "Tom"},
		"said to have set":                   {seated, []Word{says("14:00", "glued"), says("14:30", "set")}, ReadAfter, Now, at("14:30"), "Tom"},
		"glued, then sold":                   {seated, []Word{says("14:00", "glued"), says("14:30", "sold")}, Done, Over, at("14:30"), "Tom"},
		"told late":                          {record("14:00", "seated", straight.NotLevel, 1), []Word{says("14:30", "glued at 13:50")}, Setting, Later, at("15:50"), "Tom"},
		"handed on":                          {seated, []Word{says("14:00", "handed to Ines")}, Press, Now, at("12:00"), "Ines"},
		"handed on, then read by her":        {record("14:00", "seated", straight.Level, 0), []Word{says("13:00", "handed to Ines")}, String, Now, at("14:00"), "Tom"},
		"glued, then handed on":              {seated, []Word{says("14:00", "glued"), says("14:05", "handed to Ines")}, Setting, Later, at("16:00"), "Ines"},
		"waits for wire":                     {seated, []Word{says("14:00", "waiting for wire")}, Wait, ByWord, at("14:00"), "Tom"},
		"the wire is here":                   {seated, []Word{says("13:00", "waiting for wire"), says("14:00", "wire came")}, Press, Now, at("14:00"), "Tom"},
		"glued, waited, here":                {seated, []Word{says("12:10", "glued"), says("13:00", "waiting for wire"), says("14:40", "wire came")}, ReadAfter, Now, at("14:40"), "Tom"},
		"here though nothing waited":         {seated, []Word{says("14:00", "wire came")}, Press, Now, at("12:00"), "Tom"},
		"drying":                             {nil, []Word{says("14:00", "drying")}, Dry, ByWord, at("14:00"), ""},
		"drying until a day":                 {nil, []Word{says("14:00", "drying until 2026-03-09")}, Dry, Later, at("9 00:00"), ""},
		"dry":                                {nil, []Word{says("13:00", "drying"), says("14:00", "dry")}, Read, Now, at("14:00"), ""},
		"dry before its time":                {[]Record{{At: at("12:00"), Dry: at("9 09:00")}}, []Word{says("14:00", "dry")}, Read, Now, at("14:00"), ""},
		"levelled":                           {seated, []Word{says("14:00", "levelled")}, ReadAfter, Now, at("14:00"), "Tom"},
		"strung, says somebody":              {record("12:00", "levelled", straight.Level, 0), []Word{says("14:00", "strung")}, Play, Now, at("14:00"), "Tom"},
		"sold":                               {seated, []Word{says("14:00", "sold")}, Done, Over, at("14:00"), "Tom"},
		"sold and back":                      {seated, []Word{says("13:00", "sold"), says("14:00", "back")}, Read, Now, at("14:00"), "Tom"},
		"a note in plain words":              {seated, []Word{says("14:00", "mind the nut")}, Press, Now, at("12:00"), "Tom"},
		"strung, level, no word for a month": {[]Record{{Stage: "strung", Verdict: straight.Level, At: at("12:00").AddDate(0, 0, -31)}}, nil, Done, Over, at("12:00").AddDate(0, 0, -31), ""},
		"the later of two records":           {append(record("13:00", "levelled", straight.Level, 0), seated...), nil, String, Now, at("13:00"), "Tom"},
	} {
		got := Of(Neck{Records: c.records, Words: c.words}, at("15:00"), func(w Word) time.Time {
			if w.Kind == Glued && w.Until.IsZero() {
				return w.At.Add(2 * time.Hour)
			}
			return w.Until
		})
		when := got.Since
		if got.Turn == Later {
			when = got.Until
		}
		if got.Step != c.step || got.Turn != c.turn || !when.Equal(c.when) || got.Who != c.who {
			t.Errorf("%s: %s (%s), %v, %q; want %s (%s), %v, %q", name, got.Step, got.Turn, when, got.Who, c.step, c.turn, c.when, c.who)
		}
	}
}

// TestWith: what the readings say sharpens a step that rests on the record; taps are
// understood.
func TestWith(t *testing.T) {
	for _, c := range []struct {
		was  Step
		f    Found
		want Step
	}{
		{Press, Found{Again: 1, First: 2, File: 3}, ReadAgain}, {Level, Found{First: 2, File: 3}, Press}, {Press, Found{File: 3}, Level},
		{Press, Found{}, Press}, {Level, Found{Whole: true, File: 3}, SeeTo}, {String, Found{First: 1}, Press},
		{Level, Found{Wait: true}, ReadAgain}, {Press, Found{Wait: true}, Press}, {String, Found{Wait: true}, String}, {ReadAfter, Found{First: 1}, ReadAfter},
	} {
		if got := (Next{Step: c.was, Turn: Now}).With(c.f).Step; got != c.want {
			t.Errorf("%s with %+v: %s, want %s", c.was, c.f, got, c.want)
		}
	}
	taps := 0
	for _, s := range []Step{Dry, Read, ReadAgain, Press, SeeTo, Setting, Level, ReadAfter, String, Play, Wait, Done} {
		for _, k := range s.Taps() {
			taps++
			if got := Understand(string(k), "", at("15:00"), at("15:00")).Kind; got != k {
				t.Errorf("%s: a tap that says %q is understood as %s", s, k, got)
			}
		}
	}
	if taps < 8 {
		t.Errorf("only %d taps", taps)
	}
}

// A text that is not understood is shown until something is done.
func TestOf_TextIsShownUntilSomethingIsDone(t *testing.T) {
	seated := []Record{{Verdict: straight.NotLevel, At: at("12:00")}}
	until := func(w Word) time.Time { return w.At }
	words := []Word{says("11:00", "old"), says("13:00", "mind the nut")}
	if x := Of(Neck{Records: seated, Words: words}, at("15:00"), until); x.Text == nil || x.Text.Said != "mind the nut" {
		t.Errorf("%+v", x.Text)
	}
	if x := Of(Neck{Records: seated, Words: append(words, says("14:00", "levelled"))}, at("15:00"), until); x.Text != nil {
		t.Errorf("%+v", x.Text)
	}
}

// TestOrder: now, longest waiting first; then by a time, soonest first; then by a word.
func TestOrder(t *testing.T) {
	want := []Next{
		{Turn: Now, Since: at("1 09:00")}, {Turn: Now, Since: at("09:00")},
		{Turn: Later, Until: at("16:00"), Since: at("14:00")}, {Turn: Later, Until: at("9 09:00"), Since: at("1 08:00")},
		{Turn: ByWord, Since: at("1 08:00")}, {Turn: ByWord, Since: at("10:00")}, {Turn: Over, Since: at("1 07:00")},
	}
	got := slices.Clone(want)
	slices.Reverse(got)
	slices.SortStableFunc(got, Order)
	if !slices.EqualFunc(got, want, func(a, b Next) bool { return a.Turn == b.Turn && a.Since.Equal(b.Since) && a.Until.Equal(b.Until) }) {
		t.Errorf("%+v", got)
	}
}
