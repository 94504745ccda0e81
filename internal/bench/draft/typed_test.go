package draft

import (
	"errors"
	"testing"
)

// What would be refused where it is typed today stays readable in a journal from
// before: the neck is there with its serial, its pass, its study and its stage.
func TestTyped_OldJournalsStayReadable(t *testing.T) {
	const odd = "../04\u202e12"
	dir := t.TempDir()
	f := openAt(t, dir)
	k := begun(t, f)
	p := beam()
	p.Gauge, p.By = odd, odd
	var asked *Refused
	for what, err := range map[string]error{
		"serial": k.Name(odd, "a"), "stage": k.Work(odd, 0, "a"), "pass": func() error { _, err := k.Begin(p, "a"); return err }(),
		"study": func() error {
			_, err := k.BeginStudy(Study{Unit: "mm", Crowns: []Site{"1@1", "2@2"}, Hands: []string{odd}, Trials: 2}, "a")
			return err
		}(),
		"neck": func() error { _, err := f.Begin("heron.toml", example(t, "heron.toml"), odd, "a"); return err }(),
	} {
		if !errors.As(err, &asked) {
			t.Errorf("%s: %v", what, err)
		}
	}
	p.Number, p.Label = 1, "1"
	for _, e := range []Event{
		{Kind: Named, Serial: odd}, {Kind: Begun, Plan: &p}, {Kind: Staged, Name: odd},
		{Kind: StudyBegun, Study: &Study{Gauge: odd, Unit: "mm", Crowns: []Site{"1@1", "2@2"}, Hands: []string{odd}, Trials: 2}},
	} {
		if _, err := k.do(e, allowed); err != nil {
			t.Fatalf("%s: %v", e.Kind, err)
		}
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	again, err := openAt(t, dir).Get(k.ID())
	if err != nil {
		t.Fatal(err)
	}
	again.Read(func(s *State) {
		if s.Serial != odd || len(s.Passes) != 1 || s.Passes[0].Gauge != odd || len(s.Studies) != 1 || s.Stages[s.Stage()].Word != odd || s.LeftOut > 0 {
			t.Errorf("%q, %d passes, %d studies, %+v", s.Serial, len(s.Passes), len(s.Studies), s.Stages)
		}
	})
}
