package bench

import (
	"cmp"
	"context"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/fileerr"
	"ringtrue/internal/straight"
)

// bookBody lists the book's necks, the newest first.
type bookBody struct {
	None, NoBook string
	Find         string
	Necks        []neckLine
	More         string // where the list goes on
	Left         int
	Wait         bool // some are being worked out
}

// maxNecks is how many necks of the book a page lists.
const maxNecks = 50

func (s *Server) showBook(w http.ResponseWriter, r *http.Request) error {
	if s.cfg.Book == nil {
		return s.show(w, r, "book", head{}, bookBody{None: s.renderer.words.Say("book.none"), NoBook: s.cfg.NoBook})
	}
	b, err := s.bookList(r)
	if err != nil {
		return err
	}
	return s.show(w, r, "book", head{}, b)
}

// giveBookList gives the list alone, for the script.
func (s *Server) giveBookList(w http.ResponseWriter, r *http.Request) error {
	b, err := s.bookList(r)
	if err != nil {
		return err
	}
	return s.giveList(w, "book", b, "list")
}

func (s *Server) bookList(r *http.Request) (bookBody, error) {
	b := bookBody{Find: cut(strings.TrimSpace(cmp.Or(r.FormValue("find"), r.FormValue("part"))), 64)}
	all, err := askBook(s, r, "necks", newestNecks)
	if err != nil {
		return b, err
	}
	if b.Find != "" {
		tags, err := askBook(s, r, "tags", tagsBySerial)
		if err != nil {
			return b, err
		}
		all = slices.DeleteFunc(slices.Clone(all), func(n book.Neck) bool {
			return !hasWords(append([]string{n.Serial, n.Model, tags[n.Serial]}, n.Stages...), b.Find)
		})
	}
	from, _ := strconv.Atoi(r.FormValue("from")) // none: from the first
	from = max(from, 0)
	all = all[min(from, len(all)):]
	if b.Left = len(all) - maxNecks; b.Left > 0 {
		all = all[:maxNecks]
		b.More = "/book?" + url.Values{"find": {b.Find}, "from": {strconv.Itoa(from + maxNecks)}}.Encode()
	}
	for i, n := range all {
		row, err := s.rowOfRecord(r.Context(), n)
		if err != nil {
			return b, err
		}
		row.ID = "b" + strconv.Itoa(from+i)
		b.Wait = b.Wait || row.Wait
		b.Necks = append(b.Necks, row)
	}
	return b, nil
}

// newestNecks are the book's necks, the one with the latest record first.
func newestNecks(ctx context.Context, store book.Store) ([]book.Neck, error) {
	all, err := store.Necks(ctx, book.Filter{}, book.Page{})
	slices.SortStableFunc(all, func(a, b book.Neck) int { return b.Latest.Compare(a.Latest) })
	return all, err
}

// tagsBySerial are the tags of each neck's records, as they are looked for.
func tagsBySerial(ctx context.Context, store book.Store) (map[string]string, error) {
	all := map[string]string{}
	err := store.Scan(ctx, book.Filter{}, book.NameColumns|book.TagColumns, func(r *book.Row) error {
		for key, value := range r.Tags {
			if words := key + "=" + value; !strings.Contains(all[r.Serial], words) {
				all[r.Serial] += " " + words
			}
		}
		return nil
	})
	return all, err
}

// rowOfRecord is a neck of the book as the list has it, by its latest record.
func (s *Server) rowOfRecord(ctx context.Context, n book.Neck) (neckLine, error) {
	say := s.renderer.words.Say
	row := neckLine{Serial: n.Serial, Name: n.Model, Stage: strings.Join(n.Stages, ", "), When: n.Latest,
		Href: "/book/neck?" + url.Values{"serial": {n.Serial}}.Encode()}
	key := "book " + n.Serial
	j := s.judged.of(key)
	if j == nil || j.records != n.Records {
		var err error
		if j, err = s.storedJudgement(ctx, n); err != nil {
			return row, s.bookError(err)
		}
		s.judged.keep(key, j)
	}
	if j.stored {
		s.judged.want(s.stopped, key, func() { s.judgeRecord(n) })
		row.Wait = true
	}
	switch {
	case j.fault != "":
		row.Verdict, row.Kind = say("history.noverdict"), "none"
	case j.verdict == "":
		row.Verdict, row.Kind = say("list.wait"), "none"
	case j.stored:
		row.Verdict, row.Kind = say("verdict."+kindOf(j.verdict)), kindOf(j.verdict)
	default:
		row.Verdict, row.Kind = s.renderer.verdictOf(j.verdict, j.crowns, j.open)
	}
	if row.Step = say("step.wait"); !j.stored {
		row.Step = s.renderer.stepOfRecord(j)
	}
	if len(j.strip.Paths) > 0 {
		row.Strip = &j.strip
	}
	return row, nil
}

// storedJudgement is what a neck's latest record has stored: its crowns as read, and
// the verdict where this version's judgement gave it.
func (s *Server) storedJudgement(ctx context.Context, n book.Neck) (*judgement, error) {
	last, err := s.latestRecord(ctx, n.Serial)
	if err != nil {
		return nil, err
	}
	j := &judgement{records: n.Records, stored: true}
	stored := last.Derived
	if stored.Revision != answer.Judge(s.cfg.Program).Revision {
		return j, nil
	}
	crowns, err := stored.Crowns.Unpack()
	if err != nil || len(crowns) == 0 {
		return j, nil // its page says what is wrong
	}
	if stored.Verdict != string(straight.Level) { // level may be only as far as it was read
		j.verdict = stored.Verdict
	}
	known := map[crownKey]bool{}
	var lanes []float64
	first, end := crowns[0].Fret, crowns[0].Fret
	for _, c := range crowns {
		known[crownKey{c.Fret, c.Lane}] = true
		lanes = append(lanes, c.Lane)
		first, end = min(first, c.Fret), max(end, c.Fret)
	}
	j.strip = s.renderer.stripOf(bassFirst(lanes), first, end, func(k crownKey) mark {
		if known[k] {
			return markRead
		}
		return markUnread
	})
	return j, nil
}

func (s *Server) latestRecord(ctx context.Context, serial string) (book.Record, error) {
	records, err := book.RecordsOf(ctx, s.cfg.Book, serial)
	if err != nil {
		return book.Record{}, err
	}
	return records[len(records)-1], nil
}

// judgeRecord works out a neck's latest record from its files, and keeps it.
func (s *Server) judgeRecord(n book.Neck) {
	j, err := calm(func() (*judgement, error) {
		s.analyst.room <- struct{}{}
		defer func() { <-s.analyst.room }()
		return s.judgementOfRecord(s.stopped, n.Serial)
	})
	if s.stopped.Err() != nil {
		return
	}
	if err != nil {
		if !fileerr.Is(err) { // the store's trouble, which passes: the next look asks again
			s.log.Printf("book: %s: %v", n.Serial, err)
			return
		}
		j = &judgement{fault: s.renderer.words.Say("step.fault")}
	}
	j.records = n.Records
	s.judged.keep("book "+n.Serial, j)
}

func (s *Server) judgementOfRecord(ctx context.Context, serial string) (*judgement, error) {
	last, err := s.latestRecord(ctx, serial)
	if err != nil {
		return nil, err
	}
	files, err := s.cfg.Book.Files(ctx, last.Number)
	if err != nil {
		return nil, err
	}
	p, err := files.Parse()
	if err != nil {
		return nil, err
	}
	a, err := answer.Frets(ctx, answer.FretsRequest{Model: p.Model, Layout: p.Layout, Readings: p.Readings})
	if err != nil {
		return nil, err
	}
	j := s.renderer.judgementOf(a)
	marked := marksOf(a)
	touched, lanes := map[crownKey]bool{}, wholeLanes(p.Layout.Strings())
	for _, r := range p.Readings {
		if n := len(r.Frets); n > 0 && r.Lane > 0 {
			touched[crownKey{r.Frets[n/2], r.Lane}] = true
			lanes = append(lanes, r.Lane)
		}
	}
	j.strip = s.renderer.stripOf(bassFirst(lanes), p.Layout.FirstFret(), p.Layout.LastFret(), func(k crownKey) mark {
		switch m, known := marked[k]; {
		case known:
			return m
		case touched[k]:
			return markRead
		}
		return markUnread
	})
	return j, nil
}
