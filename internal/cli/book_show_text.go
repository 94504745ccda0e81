package cli

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"ringtrue/internal/answer"
	"ringtrue/internal/text"
)

// bookShowText prints what the book holds of a neck: a paragraph a record, or
// one record whole.
type bookShowText struct {
	out    io.Writer
	unit   heightUnit
	shown  shownNeck
	one    bool
	colour bool
}

func (t bookShowText) print() {
	w := t.out
	a := t.shown.answer
	head := printable(a.Serial)
	if a.Model != "" {
		head += "  " + printable(a.Model)
	}
	if !t.one {
		head += "  " + text.Count(len(a.Records), "record")
	}
	fmt.Fprintln(w, clip(head, lineWidth))
	for _, r := range a.Records {
		t.record(w, r)
	}
	t.heard()
	if a.Answer != nil {
		fmt.Fprintln(t.out)
		fretsText{out: t.out, unit: t.unit, answer: a.Answer, colour: t.colour, all: true}.print()
	}
	if a.Play != nil {
		fmt.Fprintf(t.out, "\nHow record %d, %s, will play\n", t.shown.record.Record, printable(t.shown.record.Stage))
		playText{out: t.out, answer: a.Play, colour: t.colour, touches: t.shown.judged.Model.Setup.Touch, all: true}.print()
	}
}

// record prints one record's paragraph.
func (t bookShowText) record(w io.Writer, r answer.BookRecord) {
	verdict := cmp.Or(strings.ToUpper(r.Verdict), "NOT JUDGED")
	verdict = strong(t.colour, verdict)
	when := "added " + r.Added.Format(time.DateOnly)
	if !r.Taken.IsZero() {
		when = "read " + r.Taken.Format(time.DateOnly) + ", " + when
	}
	if r.State != "" {
		when += ", " + r.State
	}
	fmt.Fprintf(w, "\nrecord %d  %s: %s\n", r.Record, printable(r.Stage), verdict)
	wrap(w, "  ", printable(when))
	if r.Taken.IsZero() {
		wrap(w, "  ", text.NoDateOfReadings)
	}
	if zone, known := r.ZoneMM.Get(); known {
		wrap(w, "  ", text.BookPlan(zone, t.unit.plain(r.WorstMM.Or(0))+" "+t.unit.name, r.MetalMM.Or(0), r.MostMM.Or(0)))
	}
	t.words(w, r)
	if r.Older {
		wrap(w, "  ", text.JudgedByOlder)
	}
	if r.Fault != "" {
		wrap(w, "  ! ", printable(r.Fault))
	}
	if t.one {
		return
	}
	for _, f := range r.Findings {
		wrap(w, "  neck     ", text.WholeAmount(f.Finding, f.AmountMM, f.UMM))
	}
	for _, f := range r.Frets {
		wrap(w, fmt.Sprintf("  fret %2d  ", f.Fret), f.Finding)
	}
	for _, x := range r.Recheck {
		wrap(w, "  ", fmt.Sprintf("read again: fret %d, lane %g (%s, line %d)", x.Fret, x.Lane, x.Method, x.Line))
	}
	if n := len(r.Undetermined); n > 0 {
		wrap(w, "  ", text.Count(n, "crown")+" not determined")
	}
	for _, o := range r.Options {
		if len(o.Refit) > 0 {
			wrap(w, "  ", fmt.Sprintf("with %s refitted first: %.3f mm over all, at most %.3f mm off one", spans(o.Refit), o.TotalRemoveMM, o.MaxRemoveMM))
		}
	}
}

// words prints what the maker said about a record.
func (t bookShowText) words(w io.Writer, r answer.BookRecord) {
	if r.Corrects != 0 {
		wrap(w, "  ", text.Corrects(r.Corrects, printable(r.By), printable(r.Why)))
	} else if r.By != "" {
		wrap(w, "  ", "by "+printable(r.By))
	}
	if r.Corrected != 0 {
		wrap(w, "  ", text.CorrectedBy(r.Corrected))
	}
	if r.Note != "" {
		wrap(w, "  ", "note: "+printable(r.Note))
	}
	if len(r.Tags) > 0 {
		var tags []string
		for k, v := range r.Tags {
			tags = append(tags, k+"="+v)
		}
		slices.Sort(tags)
		wrap(w, "  ", "tags: "+strings.Join(tags, ", "))
	}
	wrap(w, "  ", printable(fmt.Sprintf("from %s and %s", r.Neck, r.Readings)))
}
