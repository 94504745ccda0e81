package bench

import (
	"context"
	"errors"
	"net/http"
	"net/url"
	"slices"
	"sort"
	"strconv"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/book"
	"ringtrue/internal/drift"
)

// driftFew is what stands in place of a chart where the book holds too little:
// what it has, and how more gets there.
type driftFew struct {
	Stages []passLink // of the book, with their necks; without Href too few for a chart
	Ready  []passLink // necks in work with readings that are not in the book
}

// minCharted is how many necks a chart needs.
const minCharted = 2

// maxReady is how many necks in work are named.
const maxReady = 5

// tooFew reports whether a chart fails for want of necks.
func tooFew(err error) bool {
	return errors.Is(err, drift.ErrTooFew) || errors.Is(err, book.ErrNotFound)
}

// driftFew gathers it for a page that shows a stage.
func (s *Server) driftFew(r *http.Request, shown string) (*driftFew, error) {
	counts, err := askBook(s, r, "stages", necksByStage)
	if err != nil {
		return nil, err
	}
	few := &driftFew{Ready: s.ready()}
	for stage, n := range counts {
		link := passLink{Words: s.renderer.words.Say("drift.stagehas", stage, s.renderer.necks(n))}
		if n >= minCharted && stage != shown {
			link.Href = "/book/drift?" + url.Values{"of": {"zone"}, "stage": {stage}}.Encode()
		}
		few.Stages = append(few.Stages, link)
	}
	sort.Slice(few.Stages, func(i, j int) bool { return few.Stages[i].Words < few.Stages[j].Words })
	return few, nil
}

// necksByStage counts the book's necks, each once a stage.
func necksByStage(ctx context.Context, store book.Store) (map[string]int, error) {
	type at struct{ serial, stage string }
	seen, counts := map[at]bool{}, map[string]int{}
	err := store.Scan(ctx, book.Filter{InForce: true}, book.NameColumns, func(row *book.Row) error {
		if k := (at{row.Serial, row.Stage}); !seen[k] {
			seen[k] = true
			counts[k.stage]++
		}
		return nil
	})
	return counts, err
}

// ready lists necks in work whose stage has readings and is not in the book.
func (s *Server) ready() []passLink {
	var out []passLink
	for _, k := range s.cfg.Folder.All() {
		if len(out) == maxReady {
			break
		}
		k.Read(func(st *draft.State) {
			stage := st.Stage()
			booked := slices.ContainsFunc(st.Booked, func(e draft.Event) bool { return e.Stage == stage })
			if !booked && !st.Example && st.Readings(stage) > 0 {
				words := st.Model.Name
				if st.Serial != "" {
					words += " " + s.renderer.words.Say("layout.serial", st.Serial)
				}
				out = append(out, passLink{Href: "/necks/" + st.ID + "/files", Words: words + ", " + st.Stages[stage].Word})
			}
		})
	}
	return out
}

// necks is a number of necks in words.
func (l *renderer) necks(n int) string {
	if n == 1 {
		return l.words.Say("drift.oneneck")
	}
	return l.words.Say("drift.somenecks", strconv.Itoa(n))
}
