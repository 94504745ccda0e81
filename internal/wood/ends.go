package wood

// What a finger feels of a square fret end on a sanded, lacquered side, in mm:
// from FeltMM it may be felt, from SurelyFeltMM it is. An estimate. On
// glass-smooth ground an edge of 0.00085 mm is felt (Johansson and LaMotte 1983);
// a rounded end may stand out to about 0.1 mm (estimate).
const (
	FeltMM       = 0.02
	SurelyFeltMM = 0.05
)

// Filing is how fret ends are filed now.
type Filing string

// Filings.
const (
	Flush      Filing = "flush"
	UnderFlush Filing = "under flush"
)

// Ends is what the seasons do to fret ends that are filed now, at the fret where
// the Case's width is taken. Lengths are of one end, in mm.
type Ends struct {
	File      Filing
	Under     Span    // under flush now, so that the end is flush in the driest
	FirstMM   float64 // the same at the narrow end of the frets, likely
	DrySwing  Span    // filed flush in the dampest, it stands proud by this in the driest
	DriestPct float64 // the board's moisture at which they may be dressed flush instead
}

// ends works out Ends from the changes of width to the driest and the dampest.
// A board changes in proportion to its width, so a narrow end shows less.
func (c Case) ends(o Outlook) Ends {
	e := Ends{File: Flush, Under: o.Proud, DriestPct: o.DriestPct}
	if o.Proud.Likely >= FeltMM || o.Proud.High >= SurelyFeltMM {
		e.File = UnderFlush
	}
	if c.WidthMM > 0 {
		e.FirstMM = o.Proud.Likely * c.FirstWidthMM / c.WidthMM
	}
	wide := c.WidthMM + o.Damper.Likely
	e.DrySwing = proud(BoardChange(c.Board, c.QuarterSawn, wide, o.DampestPct, o.DriestPct))
	return e
}

// EndShare is how much a board draws back at each side until the driest, at the
// most, as a share of its width.
func (o Outlook) EndShare(c Case) float64 {
	if !(c.WidthMM > 0) {
		return 0
	}
	return o.Proud.High / c.WidthMM
}
