package cli

import (
	"path/filepath"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/sheet"
	"ringtrue/internal/text"
)

// cardKind refuses a card that is no PDF: it may take several pages, and its flats
// are only of use at full size.
func cardKind(path string) error {
	if path != "" && !strings.EqualFold(filepath.Ext(path), ".pdf") {
		return inputErrorf("--card: %s: end the file's name in .pdf", path)
	}
	return nil
}

// drawCard writes the work as a card to hang up at the bench: as moves, or crown by
// crown where there are none. A neck where nothing comes off has no card.
func drawCard(path string, a *answer.FretsAnswer, from source, paper sheet.Paper, units sheet.Units) error {
	switch {
	case path == "":
		return nil
	case a.Work == nil || len(a.Work.Crowns) == 0:
		return inputErrorf("--card: nothing is to be filed now, so there is no card; leave out --card")
	case paper == sheet.Phone:
		paper = sheet.A4
	}
	name := a.Neck
	if from.serial != "" {
		name += " " + from.serial
	}
	words := append([]string{text.CardOf(a.Work.Filing, a.ZoneLimitMM)}, a.Work.Warnings...)
	pages, err := cardPages(name, words, a, from, paper, units)
	if err != nil {
		return err
	}
	return writePages(path, pages)
}

func cardPages(name string, words []string, a *answer.FretsAnswer, from source, paper sheet.Paper, units sheet.Units) ([]*draw.Page, error) {
	before := sheet.BeforeFiling(a)
	if len(a.Work.Moves) > 0 {
		file := []string{text.MovesFlats(units == sheet.Thousandths), text.BeamCare}
		return sheet.MovesCard(name, a.Verdict, words, before, file, []string{text.FilingCare}, a.Work.Moves, from.model.Wire.CrownWidth, paper, units)
	}
	unticked := func(answer.PlanCrown) bool { return false }
	return sheet.Card(name, a.Verdict, words, before, nil, []string{text.FilingCare}, a.Work.Crowns, unticked, paper, units)
}
