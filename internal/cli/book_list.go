package cli

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"ringtrue/internal/book"
)

// pageOfNecks is how many necks `book list` prints where --most is not given.
const pageOfNecks = 50

// bookFilter are the flags that pick records, as written.
type bookFilter struct {
	tags         []string
	stage, model string
	since, until string
}

// add gives a command the flags of a filter.
func (f *bookFilter) add(c *cobra.Command) {
	flags := c.Flags()
	flags.StringArrayVar(&f.tags, "tag", nil, "only records with this `NAME=VALUE`; repeatable")
	flags.StringVar(&f.stage, "stage", "", "only records of this stage")
	flags.StringVar(&f.model, "model", "", "only necks of this model")
	flags.StringVar(&f.since, "since", "", "only records read on this `DATE` or later, such as 2026-03-02")
	flags.StringVar(&f.until, "until", "", "only records read on this `DATE` or earlier")
}

// filter reads the flags.
func (f *bookFilter) filter() (book.Filter, error) {
	out := book.Filter{Stage: f.stage, Model: f.model}
	var err error
	if out.Tags, err = tagsOf(f.tags); err != nil {
		return out, err
	}
	if out.Since, err = flagDay("since", f.since); err != nil {
		return out, err
	}
	if out.Until, err = flagDay("until", f.until); err != nil {
		return out, err
	}
	if !out.Until.IsZero() {
		out.Until = out.Until.AddDate(0, 0, 1) // to the end of that day
	}
	if !out.Since.IsZero() && !out.Until.IsZero() && !out.Since.Before(out.Until) {
		return out, inputErrorf("--since: %s is after --until %s", f.since, f.until)
	}
	return out, nil
}

// flagDay reads a day; the zero time where none is given.
func flagDay(flag, text string) (time.Time, error) {
	if text == "" {
		return time.Time{}, nil
	}
	t, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return t, inputErrorf("--%s: %q is not a date; write it like 2026-03-02", flag, text)
	}
	return t, nil
}

func newBookListCommand(s *streams, b *bookOptions) *cobra.Command {
	var f bookFilter
	var page book.Page
	c := &cobra.Command{
		Use:   "list [PART OF A SERIAL]",
		Short: "List the necks in the book",
		Long: `list prints the necks in order of their serials, with every stage each has been
through. A neck is listed if one of its records matches everything you ask for.`,
		Example: `  ringtrue book list
  ringtrue book list 04 --stage levelled --tag wire=lot7
  ringtrue book list --most 200 --after 0412`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 1 {
				return inputErrorf("list takes at most a part of a serial; see ringtrue book list --help")
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error {
			filter, err := f.filter()
			if err != nil {
				return err
			}
			if len(args) == 1 {
				filter.Part = args[0]
			}
			if page.Most < 0 {
				return inputErrorf("--most: %d is not a number of necks", page.Most)
			}
			if !c.Flags().Changed("most") && !b.json {
				page.Most = pageOfNecks
			}
			return runBookList(c.Context(), s, *b, filter, page)
		},
	}
	f.add(c)
	c.Flags().IntVar(&page.Most, "most", 0, fmt.Sprintf("most necks to list, 0 for all (default %d; with --json all)", pageOfNecks))
	c.Flags().StringVar(&page.After, "after", "", "continue after this `SERIAL`")
	return c
}

func runBookList(ctx context.Context, s *streams, b bookOptions, f book.Filter, p book.Page) error {
	return s.withBook(ctx, b.where, false, func(st book.Store) error {
		if b.json && p.Most == 0 {
			return s.streamNecks(ctx, st, f, p.After)
		}
		a, err := book.List(ctx, st, f, p)
		if err != nil {
			return err
		}
		if b.json {
			return s.printJSON(a)
		}
		return s.printList(a, f, p)
	})
}

// streamNecks prints what printJSON prints of a book.Listed, a neck at a time.
func (s *streams) streamNecks(ctx context.Context, st book.Store, f book.Filter, after string) error {
	w := bufio.NewWriterSize(s.out, 1<<16)
	begin := "{\n \"necks\": ["
	var one bytes.Buffer
	e := json.NewEncoder(&one)
	e.SetIndent("  ", " ")
	e.SetEscapeHTML(false)
	next := begin + "\n  "
	err := book.Each(ctx, st, f, after, func(n book.Neck) error {
		one.Reset()
		if err := e.Encode(n); err != nil {
			return outputError(err)
		}
		w.WriteString(next)
		next = ",\n  "
		if _, err := w.Write(bytes.TrimSuffix(one.Bytes(), []byte{'\n'})); err != nil { // a writer's first fault stays
			return outputError(err)
		}
		return nil
	})
	if err != nil {
		return err
	}
	end := "\n ]\n}\n"
	if next != ",\n  " {
		end = begin + "]\n}\n"
	}
	w.WriteString(end)
	if err := w.Flush(); err != nil {
		return outputError(err)
	}
	return nil
}

func (s *streams) printList(a *book.Listed, f book.Filter, p book.Page) error {
	if len(a.Necks) == 0 {
		what := "The book has no necks yet."
		switch {
		case p.After != "":
			what = "No more necks."
		case f.Part != "" || f.Stage != "" || f.Model != "" || len(f.Tags) > 0 || !f.Since.IsZero() || !f.Until.IsZero():
			what = "No neck matches."
		}
		_, err := fmt.Fprintln(s.out, what)
		return err
	}
	rows := [][]string{{"serial", "model", "records", "latest", "stages"}}
	for _, n := range a.Necks {
		rows = append(rows, []string{n.Serial, n.Model, fmt.Sprint(n.Records), n.Latest.Format(time.DateOnly), strings.Join(n.Stages, ", ")})
	}
	leftTable(s.out, rows)
	if a.After != "" {
		fmt.Fprintf(s.out, "\nThere are more: add --after %s\n", shellWord(a.After))
	}
	return nil
}

// shellWord quotes a word for a command line where it needs it.
func shellWord(w string) string {
	if strings.Trim(w, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_.") == "" {
		return w
	}
	return "'" + strings.ReplaceAll(w, "'", `'\''`) + "'"
}
