package text

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"ringtrue/internal/listen"
	"ringtrue/internal/num"
	"ringtrue/internal/recording"
	"ringtrue/internal/unit"
)

// ListenHead is the first line of what was heard.
func ListenHead(r *listen.Report) string {
	switch {
	case len(r.Notes)+len(r.Unnamed) == 0:
		return "NO NOTES HEARD"
	case r.Reversed:
		return "PLAYED IN ANOTHER ORDER"
	case !r.Fits:
		return "NOT THIS NECK PLAYED THROUGH"
	}
	return fmt.Sprintf("%d OF %d NOTES HEARD", r.Heard, r.Expected)
}

// ListenBasis says what the cents are of.
func ListenBasis(r *listen.Report) string {
	return fmt.Sprintf("cents from 0.25 to 0.75 s after the pluck, good to 1 cent; A4 = %.4g Hz", r.A4Hz)
}

// listenFlaw says what is wrong with a recording.
func listenFlaw(f recording.Flaw) string {
	switch f {
	case recording.DeadSide:
		return "one side of the recording is dead; the other was used"
	case recording.Clipped:
		return "the recording clips: use only its cents. Turn the input down and play again"
	case recording.Gated:
		return "digital silence between notes, by a noise gate or a cut: rings end there"
	}
	return string(f)
}

// ListenWarnings are what to know before the figures are used.
func ListenWarnings(r *listen.Report) []string {
	out := []string{}
	for _, f := range r.Flaws {
		out = append(out, listenFlaw(f))
	}
	switch {
	case len(r.Notes)+len(r.Unnamed) == 0:
		return append(out, "no sound in this recording begins like a plucked note. Play closer to the microphone, one note after the other")
	case r.Reversed:
		return append(out, fmt.Sprintf("they fit in another order of the strings: add --strings %s", commas(r.Order())))
	case !r.Fits:
		return append(out, fmt.Sprintf("%s, not this neck's notes in this order, so nothing is concluded. Check the neck file, --strings, --from and --to. "+
			"Play one note after the other and damp the other strings", Count(len(r.Unnamed), "sound")))
	}
	return append(out, listenTuned(r)...)
}

// commas lists numbers as an option takes them.
func commas(numbers []int) string {
	return strings.Trim(strings.Join(strings.Fields(fmt.Sprint(numbers)), ","), "[]")
}

// listenTuned names strings that are tuned another way than the file says.
func listenTuned(r *listen.Report) (out []string) {
	by := map[int][]int{}
	var order []int
	for i := len(r.Strings) - 1; i >= 0; i-- {
		s := r.Strings[i]
		if s.TunedBy == 0 {
			continue
		}
		if by[s.TunedBy] == nil {
			order = append(order, s.TunedBy)
		}
		by[s.TunedBy] = append(by[s.TunedBy], s.String)
	}
	for _, n := range order {
		way, size := "above", n
		if n < 0 {
			way, size = "below", -n
		}
		verb := "is"
		if len(by[n]) > 1 {
			verb = "are"
		}
		out = append(out, fmt.Sprintf("%s %s tuned %s %s the neck file. Tune again, or correct the file",
			stringsNamed(slices.Sorted(slices.Values(by[n]))), verb, Count(size, "semitone"), way))
	}
	return out
}

// ListenMissing names the notes that were not heard, and counts other sounds; "" of none.
func ListenMissing(r *listen.Report) string {
	var parts []string
	for i := 0; i < len(r.Missing); {
		k, frets := i, []int{}
		for ; k < len(r.Missing) && r.Missing[k].String == r.Missing[i].String; k++ {
			frets = append(frets, r.Missing[k].Fret)
		}
		word := "fret"
		if len(frets) > 1 {
			word = "frets"
		}
		parts = append(parts, fmt.Sprintf("string %d %s %s", r.Missing[i].String, word, unit.Spans(frets)))
		i = k
	}
	words := ""
	if len(parts) > 0 {
		words = "not heard: " + strings.Join(parts, "; ")
	}
	if n := len(r.Unnamed); n > 0 && words != "" {
		words += ". "
	}
	if n := len(r.Unnamed); n > 0 {
		words += "not one of these notes: " + Count(n, "sound")
	}
	return words
}

// outOfTuneCents is from where on an open string is called out of tune.
const outOfTuneCents = 5

// ListenSays is what follows from what was heard, beside the moves of saddle and nut.
func ListenSays(r *listen.Report) []string {
	out := []string{}
	if !r.Fits {
		return out
	}
	if words := listenTune(r); words != "" {
		out = append(out, words)
	}
	if words := listenStay(r); words != "" {
		out = append(out, words)
	}
	if words := listenEarly(r); words != "" {
		out = append(out, words)
	}
	return append(out, listenDoubts(r)...)
}

// listenTune names open strings that are out of tune.
func listenTune(r *listen.Report) string {
	var parts []string
	for _, s := range r.Strings {
		if c, ok := s.OpenCents.Get(); ok && (c > outOfTuneCents || c < -outOfTuneCents) {
			parts = append(parts, fmt.Sprintf("string %d %+.0f", s.String, c))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return "open strings out of tune, in cents: " + strings.Join(parts, ", ")
}

// saddleKnownMM is a doubt of a saddle's place that is too large to leave it by: beyond
// it a string of 640 mm is 3 cents off at fret 12, 1731 cents times the share of its length.
const saddleKnownMM = 1

// listenStay says that no saddle move is sure, where that is so of all strings heard, and
// how far off a saddle may still be.
func listenStay(r *listen.Report) string {
	off := 0.0
	for _, s := range r.Strings {
		if m := s.Saddle; m != nil {
			if math.Abs(m.SaddleMM) > 2*m.USaddleMM {
				return ""
			}
			off = max(off, math.Abs(m.SaddleMM)+2*m.USaddleMM)
		}
	}
	switch {
	case off == 0:
		return ""
	case off > saddleKnownMM:
		return fmt.Sprintf("no saddle move is sure: a string may be off by up to %.2f mm. Play all its frets", off)
	}
	return fmt.Sprintf("leave the saddle: no move is sure, each string is right to within %.2f mm", off)
}

// listenEarly names the notes that die early.
func listenEarly(r *listen.Report) string {
	var parts []string
	for _, n := range r.Notes {
		if n.DiesEarly {
			parts = append(parts, fmt.Sprintf("string %d fret %d (%.2f s, %.2f of its neighbours')", n.String, n.Fret, n.RingS.Or(0), n.RingShare.Or(0)))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return "dies early: " + strings.Join(parts, ", ") + ". Usually the wood, seldom the fret"
}

// listenDoubts names strings whose data in the neck file cannot be right.
func listenDoubts(r *listen.Report) (out []string) {
	var gauges, cores []string
	for _, s := range r.Strings {
		switch s.Doubt {
		case listen.WrongGauge:
			gauges = append(gauges, fmt.Sprintf("string %d %.3f mm, within %.3f mm (file %.3f mm)", s.String, s.GaugeMM.Or(0), 2*s.UGaugeMM.Or(0), s.GaugeFileMM.Or(0)))
		case listen.WrongStiffness:
			cores = append(cores, fmt.Sprintf("string %d %.1f times", s.String, s.StiffnessNMM2.Or(0)/s.FileNMM2))
		}
	}
	if len(gauges) > 0 {
		out = append(out, "gauge by sound, as plain steel: "+strings.Join(gauges, ", ")+". Measure, and correct the file")
	}
	if len(cores) > 0 {
		out = append(out, "stiffness by sound: "+strings.Join(cores, ", ")+" the file's. Give the core, or use --learn")
	}
	return out
}

// ListenNoMoves stands for the moves of saddle and nut where no string tells any.
const ListenNoMoves = "for saddle and nut, play the open string and four frets or more of each string"

// ListenTells says whether any string tells a move.
func ListenTells(r *listen.Report) bool {
	return slices.ContainsFunc(r.Strings, func(s listen.String) bool { return s.Saddle != nil })
}

// ListenMoves heads the table of moves.
const ListenMoves = "Moves from now, mm (+ away from the frets)"

// ListenMovesKey explains it.
const ListenMovesKey = "By least squares of the cents heard, each from its open string: the saddle alone, or saddle and nut together. \"good to\" is two standard uncertainties. " +
	"\"predicted\" is what play --tune gives with both moved, from the scale's line, not from where they are now."

// ListenMoveRows are the rows of the table; all of them with all.
func ListenMoveRows(r *listen.Report, all bool) [][]string {
	rows := [][]string{{"saddle alone"}, {"  good to"}, {"both: saddle"}, {"  good to"}, {"both: nut"}, {"  good to"}, {"predicted saddle"}, {"predicted nut"}}
	show := []bool{true, true, all, all, all, all, all, all}
	for _, s := range bassLeft(r) {
		cells := make([]string, len(rows))
		for i := range cells {
			cells[i] = "-"
		}
		if m := s.Saddle; m != nil {
			cells[0], cells[1] = moved(m.SaddleMM), fmt.Sprintf("%.2f", 2*m.USaddleMM)
		}
		if m := s.Both; m != nil {
			cells[2], cells[3] = moved(m.SaddleMM), fmt.Sprintf("%.2f", 2*m.USaddleMM)
			cells[4], cells[5] = moved(m.NutMM), fmt.Sprintf("%.2f", 2*m.UNutMM)
		}
		if mm, ok := s.SetbackMM.Get(); ok {
			cells[6], cells[7] = moved(mm), moved(s.NutSetbackMM.Or(0))
		}
		for i := range rows {
			rows[i] = append(rows[i], cells[i])
		}
	}
	var shown [][]string
	for i := range rows {
		if show[i] {
			shown = append(shown, rows[i])
		}
	}
	return shown
}

func moved(mm float64) string { return fmt.Sprintf("%+.2f", math.Round(100*mm)/100+0) }

// bassLeft are the strings that were played, the bass first.
func bassLeft(r *listen.Report) (all []listen.String) {
	for n := len(r.Strings) + maxSkipped; n >= 1; n-- {
		for _, s := range r.Strings {
			if s.String == n {
				all = append(all, s)
			}
		}
	}
	return all
}

// maxSkipped is more strings than a neck has.
const maxSkipped = 18

// ListenStrings are the strings' names at the heads of columns, the bass left.
func ListenStrings(r *listen.Report) (heads []string) {
	for _, s := range bassLeft(r) {
		heads = append(heads, fmt.Sprintf("%d %s", s.String, s.Pitch))
	}
	return heads
}

// ListenCents heads the table of what is heard by string.
const ListenCents = "Cents and stiffness, as heard"

// ListenHeardRows are figures by string that are not lengths.
func ListenHeardRows(r *listen.Report) [][]string {
	rows := [][]string{{"notes heard"}, {"open, cents"}, {"rms before"}, {"left, saddle"}, {"left, both"}, {"stiffness, Nmm2"}, {"  neck file"}, {"damping base"}, {"  square, 1e-7"}}
	opt := func(o num.Opt, form string) string {
		if v, ok := o.Get(); ok {
			return fmt.Sprintf(form, v)
		}
		return "-"
	}
	for _, s := range bassLeft(r) {
		cells := []string{fmt.Sprint(s.Heard), opt(s.OpenCents, "%+.1f"), "-", "-", "-", opt(s.StiffnessNMM2, "%.1f"), fmt.Sprintf("%.1f", s.FileNMM2), "-", "-"}
		if m := s.Saddle; m != nil {
			cells[2], cells[3] = fmt.Sprintf("%.1f", m.BeforeCents), fmt.Sprintf("%.1f", m.LeftCents)
		}
		if m := s.Both; m != nil {
			cells[4] = fmt.Sprintf("%.1f", m.LeftCents)
		}
		if d := s.Damping; d != nil {
			cells[7], cells[8] = fmt.Sprintf("%.2f", d.Base), fmt.Sprintf("%.2f", 1e7*d.Square)
		}
		for i := range rows {
			rows[i] = append(rows[i], cells[i])
		}
	}
	return rows
}

// ListenNotesHead heads the table of notes, and names its columns.
const ListenNotesHead = "Notes"

// ListenNoteColumns are the columns of the table of notes.
func ListenNoteColumns() []string {
	return []string{"string", "fret", "at s", "cents", "good to", "glide", "B, 1e-5", "ring s", ""}
}

// ListenNoteRow is a note's row.
func ListenNoteRow(n listen.Note) []string {
	row := []string{fmt.Sprint(n.String), fmt.Sprint(n.Fret), fmt.Sprintf("%.2f", n.AtS), tenth(n.Cents), fmt.Sprintf("%.1f", max(1, 2*n.UCents)), "-", "-", "-", ""}
	if v, ok := n.GlideCents.Get(); ok {
		row[5] = tenth(v)
	}
	if v, ok := n.Inharmonicity.Get(); ok {
		row[6] = fmt.Sprintf("%.2f", 1e5*v)
	}
	if v, ok := n.RingS.Get(); ok {
		row[7] = fmt.Sprintf("%.2f", v)
	} else if n.RingLeastS > 0 {
		row[7] = fmt.Sprintf("over %.2f", n.RingLeastS)
	}
	if n.DiesEarly {
		row[8] = "early"
	}
	return row
}

func tenth(cents float64) string { return fmt.Sprintf("%+.1f", math.Round(10*cents)/10+0) }

// ListenRests says what the figures rest on.
func ListenRests(r *listen.Report) []string {
	out := []string{"cents: of the string's first partial by the series of all, off equal temperament. glide: how much sharper the note began. Taken earlier where the next note came early",
		"B: inharmonicity, f = n f0 sqrt(1 + B n^2); plain strings to 5 % in a quiet room, otherwise to 15 %. Nothing is said where too few partials fit",
		"ring s: until the whole note has fallen by 20 dB, to 15 %. \"over\": the next note, or noise, came first"}
	for _, s := range r.Strings {
		if d, ok := s.GaugeMM.Get(); ok && s.GaugeFileMM.Known() {
			out = append(out, fmt.Sprintf("string %d sounds like plain steel of %.3f mm, within %.3f mm; the neck file says %.3f mm", s.String, d, 2*s.UGaugeMM.Or(0), s.GaugeFileMM.Or(0)))
		}
	}
	return append(out, "whether a note buzzes is not judged: sound alone doesn't show it reliably")
}

// ListenOnPage is a warning, or what follows, as a page says it: there are no options.
func ListenOnPage(words string) string {
	return strings.NewReplacer("Check the neck file, --strings, --from and --to.", "Check the neck file, and what you chose to play.",
		"or use --learn", "or use the strings as heard", "add --strings", "choose the order").Replace(words)
}
