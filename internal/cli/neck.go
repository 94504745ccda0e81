package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"

	"github.com/spf13/cobra"

	"ringtrue/internal/name"
	"ringtrue/internal/neck"
)

func newNeckCommand(s *streams) *cobra.Command {
	c := &cobra.Command{
		Use:   "neck",
		Short: "Start a neck file",
		Args:  cobra.NoArgs,
		RunE:  func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	c.AddCommand(newNeckNewCommand(s))
	return c
}

func newNeckNewCommand(s *streams) *cobra.Command {
	var like string
	c := &cobra.Command{
		Use:   "new FILE",
		Short: "Write a commented neck file to start from",
		Long: `new writes a neck file in which you need to set only scale, frets and radius. It
never overwrites a file.`,
		Example: "  ringtrue neck new mine.toml --like acoustic",
		Args:    exactly(1, "the file to write"),
		RunE: func(_ *cobra.Command, args []string) error {
			text, err := neck.Template(like)
			if err != nil {
				return inputErrorf("--like: %w", err)
			}
			if _, err := os.Lstat(args[0]); !errors.Is(err, fs.ErrNotExist) {
				return inputErrorf("%s: already exists; name another file", args[0])
			}
			if err := writeFile(args[0], []byte(text)); err != nil {
				return err
			}
			_, err = fmt.Fprintf(s.out, "wrote %s: set scale, frets and radius, then the rest as you measure it\n", name.Visible(args[0]))
			return err
		},
	}
	c.Flags().StringVar(&like, "like", "electric", "start from an electric, acoustic or bass neck")
	return c
}
