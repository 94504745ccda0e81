package cli

import (
	"bufio"
	"context"
	"io"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"ringtrue/internal/spreadsheet"
)

// streams are what a command reads and writes.
type streams struct {
	in       io.Reader
	out      io.Writer // the answer, buffered: Run says what could not be written
	errOut   io.Writer // the talk: messages and progress
	colour   bool      // the answer goes to a terminal that wants colour
	inUse    string    // what standard input has already been read for
	shop     string    // --shop
	shopRead *shopRead // its file, once it was read

	workbooks []spreadsheet.Table // that readings were read from
	short     bool                // of the answer the listing has what a hand needs
	fill      string              // what is to be filled in, in a short listing's next call
	units     string              // --units
	inches    bool                // answers are in inches
	edge      edge                // leaves the command where it is interrupted
}

// Run runs one command line and returns the exit status (see exit.go). Once ctx
// is done it returns within 200 ms, wherever the command is; only a bench answers
// first what it was asked.
func Run(ctx context.Context, args []string, in io.Reader, out, errOut io.Writer) int {
	return runWithin(ctx, graceTime, args, in, out, errOut)
}

func runWithin(ctx context.Context, grace time.Duration, args []string, in io.Reader, out, errOut io.Writer) int {
	s := &streams{in: in, colour: wantsColour(out), edge: edge{grace: grace, closing: closingTime}}
	buffered := bufio.NewWriterSize(s.edge.gated(out), 64<<10)
	s.out, s.errOut = buffered, s.edge.gated(errOut)
	err := s.edge.run(ctx, func(ctx context.Context) error {
		root := newRootCommand(s)
		root.SetArgs(args)
		root.SetIn(in)
		root.SetOut(buffered)
		root.SetErr(s.errOut)
		err := root.ExecuteContext(ctx)
		if flushErr := buffered.Flush(); flushErr != nil && err == nil {
			err = outputError(flushErr)
		}
		return s.placed(err)
	})
	return report(errOut, err)
}

func newRootCommand(s *streams) *cobra.Command {
	root := &cobra.Command{
		Use:   "ringtrue",
		Short: "Plan, judge and record fret work, with uncertainties",
		Long: `ringtrue plans your fret work. It judges from gauge readings whether the frets are
level and what to file, predicts which notes buzz, and keeps a record of every neck.
Its judgements say how sure they are.`,
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          cobra.NoArgs,
		RunE:          func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	root.SetFlagErrorFunc(flagFault)
	root.PersistentFlags().StringVar(&s.shop, "shop", "", "the shop `FILE` (default $"+shopVariable+", or shop.toml beside the book)")
	s.unitsFlag(root)
	root.PersistentPreRunE = func(c *cobra.Command, args []string) error {
		if err := namesFile(c, args); err != nil {
			return err
		}
		return s.settleUnits(c)
	}
	root.AddCommand(
		newBenchCommand(s),
		newBoardCommand(s),
		newBookCommand(s),
		newDriftCommand(s),
		newFretsCommand(s),
		newGaugeCommand(s),
		newGlueCommand(s),
		newListenCommand(s),
		newEarCommand(s),
		newNeckCommand(s),
		newPlanCommand(s),
		newPlayCommand(s),
		newReliefCommand(s),
		newSetupCommand(s),
		newSheetCommand(s),
		newShopCommand(s),
		newVersionCommand(s),
		newWoodCommand(s),
		newWordsCommand(s),
	)
	describeShells(root)
	return root
}

// describeShells puts the library's own two commands, which complete words in a shell
// and show help, into this program's words.
func describeShells(root *cobra.Command) {
	root.InitDefaultHelpCmd()
	root.InitDefaultCompletionCmd()
	for _, c := range root.Commands() {
		switch c.Name() {
		case "help":
			c.Short, c.Long = "Show the help of a command", "help shows the help of a command, as COMMAND --help does."
		case "completion":
			c.Short = "Print a script that completes commands in your shell"
			c.Long = "completion prints a script for your shell, which then completes commands and\noptions on the Tab key. The help of each shell below says how to load it."
			for _, shell := range c.Commands() {
				shell.Short = "Print the script for " + shell.Name()
			}
		}
	}
}

// Commands is the whole tree of commands, for the reference and the man pages
// that are made from it. It is not for running.
func Commands() *cobra.Command {
	root := newRootCommand(&streams{in: strings.NewReader(""), out: io.Discard, errOut: io.Discard})
	root.InitDefaultCompletionCmd()
	root.DisableAutoGenTag = true
	return root
}
