package bench

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/bench/draft"
	"ringtrue/internal/gauge"
	"ringtrue/internal/sheet"
	"ringtrue/internal/unit"
)

// gaugeBody is a gauge study, led reading by reading.
type gaugeBody struct {
	Units   []choice
	ID      string
	Studies []passLink
	Number  int
	Begun   bool
	Place   int // of the reading to take
	Who     string
	Where   string
	Count   string
	Unit    string
	Last    string
	Seed    uint64
	Done    bool
	Words   []string
	Mind    []string
	Said    string
	Typed   string
	NewSeed uint64
	Screens *drawings
}

func (s *Server) showGauge(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	return s.showGaugeAs(w, r, k, http.StatusOK, r.FormValue("study"), "", "")
}

func (s *Server) showGaugeAs(w http.ResponseWriter, r *http.Request, k *draft.Neck, status int, study, said, typed string) error {
	b := gaugeBody{ID: k.ID(), Said: said, Typed: typed, Units: s.renderer.unitChoices(s.ownUnit(nil)), NewSeed: uint64(s.cfg.Now().Unix()) % 100_000}
	var csv []byte
	var zone float64
	k.Read(func(st *draft.State) {
		zone = st.Model.Level.Zone
		b.Number = within(cmp.Or(study, strconv.Itoa(len(st.Studies)-1)), 0, max(0, len(st.Studies)-1))
		for i, y := range st.Studies {
			b.Studies = append(b.Studies, passLink{fmt.Sprintf("/necks/%s/gauge?study=%d", st.ID, i), s.renderer.words.Say("gauge.study", i+1, y.Gauge, len(y.Readings), y.Steps()), i == b.Number})
		}
		if len(st.Studies) > 0 {
			csv = s.renderer.fillStudy(&b, st.Studies[b.Number])
		}
	})
	if b.Done {
		a, err := s.studyAnswer(r, csv, zone)
		if err != nil {
			if !playFault(err) {
				return err
			}
			b.Mind = plainList(err)
		} else {
			b.Words, b.Mind = a.answer.Words, a.answer.Warnings
			charts, err := sheet.GaugeScreen(a.study, a.answer, s.renderer.sheetUnits())
			if err != nil {
				return err
			}
			b.Screens = &drawings{Charts: charts}
		}
	}
	return s.showAs(w, r, status, "gauge", head{Neck: s.neckHead(k, "gauge")}, b)
}

// fillStudy says which reading comes next; of a study that is done it gives the
// file.
func (l *renderer) fillStudy(b *gaugeBody, y *draft.StudyProgress) []byte {
	say := l.words.Say
	order := y.Order()
	b.Begun, b.Place, b.Unit, b.Seed = true, y.Next(), y.Unit, y.Seed
	b.Count, b.Done = say("read.count", b.Place, len(order)), b.Place == len(order)
	if b.Place > 0 {
		at := order[b.Place-1]
		b.Last = say("gauge.last", l.asTyped(y.Readings[b.Place-1]+" "+y.Unit), at.Crown.Named(), unit.Decimal(at.Crown.Lane()), at.Hand)
	}
	if b.Done {
		return studyCSV(y)
	}
	at := order[b.Place]
	b.Who = say("gauge.who", at.Hand, at.Trial, y.Trials)
	b.Where = say("read.big", at.Crown.Fret(), unit.Decimal(at.Crown.Lane()))
	return nil
}

// studyCSV is the study as a file that gauge takes.
func studyCSV(y *draft.StudyProgress) []byte {
	var b bytes.Buffer
	b.WriteString("part,operator,trial,reading,unit\n")
	for i, at := range y.Order() {
		if y.Readings[i] == "" {
			continue
		}
		fmt.Fprintf(&b, "fret %s lane %s,%s,%d,%s,%s\n", at.Crown.Named(), unit.Decimal(at.Crown.Lane()), csvField(at.Hand), at.Trial, y.Readings[i], y.Unit)
	}
	return b.Bytes()
}

// csvField quotes a name where a comma or a quote is in it.
func csvField(text string) string {
	if strings.ContainsAny(text, "\",\n") {
		return `"` + strings.ReplaceAll(text, `"`, `""`) + `"`
	}
	return text
}

// studied is a study and what it says.
type studied struct {
	study  gauge.Study
	answer *answer.GaugeAnswer
}

func (s *Server) studyAnswer(r *http.Request, csv []byte, zoneMM float64) (studied, error) {
	return ask(r.Context(), s, fmt.Sprintf("study %g %s", zoneMM, csv), func(ctx context.Context) (studied, error) {
		study, err := gauge.Read("study", bytes.NewReader(csv), gauge.KindCrossed)
		if err != nil {
			return studied{}, err
		}
		a, err := answer.Gauge(ctx, answer.GaugeRequest{Study: study, ZoneMM: zoneMM})
		if errors.Is(err, gauge.ErrAlike) || errors.Is(err, gauge.ErrTooFew) || errors.Is(err, gauge.ErrUneven) {
			return studied{}, refuse(http.StatusUnprocessableEntity, err.Error())
		}
		return studied{study, a}, err
	})
}

// beginStudy begins a study.
func (s *Server) beginStudy(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	say := s.renderer.words.Say
	text := func(key string) string { return strings.TrimSpace(r.PostForm.Get(key)) }
	y := draft.Study{Gauge: text("gauge"), Unit: text("unit")}
	crowns, err1 := strconv.Atoi(text("crowns"))
	trials, err2 := strconv.Atoi(text("trials"))
	seed, err3 := strconv.ParseUint(text("seed"), 10, 63)
	if err := errors.Join(err1, err2, err3); err != nil {
		return refuse(http.StatusUnprocessableEntity, say("gauge.nonumber"))
	}
	y.Trials, y.Seed = trials, seed
	for _, h := range strings.Split(text("hands"), ",") {
		if h = strings.TrimSpace(h); h != "" {
			y.Hands = append(y.Hands, h)
		}
	}
	k.Read(func(st *draft.State) { y = st.NewStudy(crowns, y) })
	n, err := k.BeginStudy(y, screenOf(r.PostForm))
	if err != nil {
		return err
	}
	return redirect(w, r, "/necks/%s/gauge?study=%d", k.ID(), n)
}

// takeTrial keeps one reading of a study, or takes the last back.
func (s *Server) takeTrial(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	say := s.renderer.words.Say
	study, errStudy := strconv.Atoi(r.PostForm.Get("study"))
	place, errPlace := strconv.Atoi(r.PostForm.Get("place"))
	if errStudy != nil || errPlace != nil {
		return refuse(http.StatusUnprocessableEntity, say("refused.form"))
	}
	typed := strings.TrimSpace(r.PostForm.Get("reading"))
	text := ""
	var err error
	if r.PostForm.Get("do") == "undo" {
		place--
	} else if text, err = plainNumber(typed); err != nil {
		return s.showGaugeAs(w, r, k, http.StatusUnprocessableEntity, strconv.Itoa(study), say("gauge.noreading"), typed)
	}
	err = k.TakeTrial(study, place, text, screenOf(r.PostForm))
	switch {
	case errors.Is(err, draft.ErrConflict):
		return s.showGaugeAs(w, r, k, http.StatusConflict, strconv.Itoa(study), say("gauge.clash"), typed)
	case err != nil:
		return err
	}
	return redirect(w, r, "/necks/%s/gauge?study=%d", k.ID(), study)
}

// giveStudy gives a study's readings so far.
func (s *Server) giveStudy(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	n, err := strconv.Atoi(r.FormValue("study"))
	var data []byte
	k.Read(func(st *draft.State) {
		if err == nil && n >= 0 && n < len(st.Studies) {
			data = studyCSV(st.Studies[n])
		}
	})
	if data == nil {
		return refuse(http.StatusNotFound, s.renderer.words.Say("gauge.nostudy"))
	}
	return give(w, "text/csv; charset=utf-8", fmt.Sprintf("study-%d.csv", n+1), data)
}
