package bench

import (
	"context"
	"net/http"
	"strconv"

	"ringtrue/internal/answer"
	"ringtrue/internal/unit"
)

// boardBody is a neck's readings taken as those of its bare board.
type boardBody struct {
	ID, Stage, Verdict, Kind string
	Read                     bool
	Advice, Mind, Found      []string
	Lanes                    []laneView
	Arches                   []archView
	SandLanes                []string
	Sand                     []sandView
}

// sandView is what to sand off behind a slot, a cell a lane.
type sandView struct {
	Slot  string
	Cells []string
}

type archView struct{ Slot, Radius, Cone, Wanted, Verdict string }

func (s *Server) showBoard(w http.ResponseWriter, r *http.Request) error {
	k, err := s.kept(r)
	if err != nil {
		return err
	}
	p := workOf(k)
	b := boardBody{ID: k.ID(), Stage: p.word, Read: p.read}
	if p.read {
		a, err := ask(r.Context(), s, "board "+p.state, func(context.Context) (*answer.BoardAnswer, error) {
			return answer.Board(p.model, p.layout, p.readings)
		})
		if err != nil {
			return err
		}
		s.look.fillBoard(&b, a)
	}
	return s.show(w, r, "board", head{Neck: s.neckHead(k, "neck")}, b)
}

func (l *look) fillBoard(b *boardBody, a *answer.BoardAnswer) {
	say := l.words.Say
	b.Verdict, b.Kind, b.Advice = say("ready."+kindOf(a.Verdict)), map[string]string{"ready": "level", "not ready": "not-level"}[a.Verdict], a.Advice
	if b.Kind == "" {
		b.Kind = "in-doubt"
	}
	for _, x := range a.Findings {
		b.Found = append(b.Found, x.Finding)
	}
	for _, x := range a.Recheck {
		if x.Lane == 0 {
			b.Mind = append(b.Mind, say("board.againarch", x.Fret, mm(x.ReadingMM), mm(x.ExpectedMM)))
			continue
		}
		b.Mind = append(b.Mind, say("board.againat", x.Fret, unit.Decimal(x.Lane), mm(x.ReadingMM), mm(x.ExpectedMM)))
	}
	for _, x := range a.Passes {
		b.Mind = append(b.Mind, say("advice.lane", unit.Decimal(x.Lane))+": "+x.Why)
	}
	if n := len(a.Undetermined); n > 0 {
		b.Mind = append(b.Mind, say("board.open", n))
	}
	for _, x := range a.Lanes {
		zone := mm(x.ZoneMM) + " ± " + mm(x.UZoneMM)
		if r := x.ZoneRangeMM; r != nil {
			zone = mm(r[0]) + " – " + mm(r[1])
		}
		b.Lanes = append(b.Lanes, laneView{Lane: unit.Decimal(x.Lane), Zone: zone, Verdict: x.Verdict})
	}
	radius := func(v *float64) string {
		if v == nil {
			return say("neck.flat")
		}
		return strconv.FormatFloat(*v, 'f', 0, 64) + " mm"
	}
	lanes, rows := a.SandList()
	for _, lane := range lanes {
		b.SandLanes = append(b.SandLanes, say("advice.lane", unit.Decimal(lane)))
	}
	for _, x := range rows {
		v := sandView{Slot: strconv.Itoa(x.Slot)}
		for _, off := range x.RemoveMM {
			cell := "–"
			if off > 0 {
				cell = strconv.FormatFloat(off, 'f', 2, 64)
			}
			v.Cells = append(v.Cells, cell)
		}
		b.Sand = append(b.Sand, v)
	}
	for _, x := range a.Arches {
		cone := "–"
		if x.ConeMM != nil {
			cone = radius(x.ConeMM)
		}
		b.Arches = append(b.Arches, archView{strconv.Itoa(x.Fret), radius(x.RadiusMM), cone, radius(x.WantedMM), x.Verdict})
	}
}
