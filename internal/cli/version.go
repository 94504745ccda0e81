package cli

import (
	"fmt"
	"runtime"
	"runtime/debug"

	"github.com/spf13/cobra"
)

// version is the program's own; a release build sets it by the linker.
var version = "0.1.0-dev"

func newVersionCommand(s *streams) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:     "version",
		Short:   "Print the program's version",
		Example: "  ringtrue version",
		Args:    cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			if asJSON {
				return s.printJSON(map[string]string{"version": Version(), "go": runtime.Version()})
			}
			_, err := fmt.Fprintf(s.out, "ringtrue %s (%s, %s/%s)\n", Version(), runtime.Version(), runtime.GOOS, runtime.GOARCH)
			return err
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	return c
}

// Version is the program's version, with the commit where the build knows it.
func Version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return version
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && len(s.Value) >= 12 {
			return version + "+" + s.Value[:12]
		}
	}
	return version
}
