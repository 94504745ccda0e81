package play

import "ringtrue/internal/num"

// WindowS is how long a note is followed, in s.
const WindowS = 0.1

// Verdict is what is said of a note.
type Verdict string

// The verdicts, from best to worst; Short is that of a note at an action that was
// only tried: by its reach alone it may graze, buzz or just pass.
const (
	Clear  Verdict = "clear"  // no contact
	Grazes Verdict = "grazes" // contact, with little impulse
	Buzzes Verdict = "buzzes" // more of it
	Chokes Verdict = "chokes" // the resting string lies on a crown beyond its stop
	Short  Verdict = "short"
)

// Way is which way a string is released.
type Way string

// Both ways: lifted off the board, or pressed to it.
const (
	Away    Way = "away"
	Towards Way = "towards"
)

// sign is 1 for up, off the board.
func (w Way) sign() float64 {
	if w == Towards {
		return -1
	}
	return 1
}

// Contact is what a note met.
type Contact struct {
	Frets            []int   `json:"frets"`
	FirstFret        int     `json:"first_fret"`
	FirstMS          float64 `json:"first_ms"`
	LastMS           float64 `json:"last_ms"`
	ImpulseMNS       float64 `json:"impulse_mns"`
	FirstPeriodShare float64 `json:"first_period_share"` // impulse of the first period over 2Th/c
	WindowMS         float64 `json:"window_ms"`
	Release          Way     `json:"release"`
	TriangleMM       float64 `json:"triangle_mm"` // height of the triangle released
}

// Note is one stop under one touch. Margins are missing where nothing lies beyond
// the stop.
type Note struct {
	Fret          int     `json:"fret"`
	Touch         string  `json:"touch"`
	MarginMM      num.Opt `json:"margin_mm"` // against the ideal string's reach
	NearestFret   *int    `json:"nearest_fret"`
	ClearMarginMM num.Opt `json:"clear_margin_mm,omitzero"` // against the stiff string's, under the judging touch
	Verdict       Verdict `json:"verdict"`
	// Of notes over crowns as read: how far the margins may be wrong by, how likely
	// the note meets no fret, and whether that leaves its verdict in doubt. The
	// last three are of the judging touch alone.
	UMarginMM      num.Opt  `json:"u_margin_mm,omitzero"`
	UClearMarginMM num.Opt  `json:"u_clear_margin_mm,omitzero"`
	ChanceClear    num.Opt  `json:"chance_clear,omitzero"`
	InDoubt        bool     `json:"in_doubt,omitempty"`
	NotSeen        []int    `json:"not_seen,omitempty"` // frets beyond the stop whose crowns are not known
	Contact        *Contact `json:"contact,omitempty"`
}
