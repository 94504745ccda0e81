package cli

import (
	"errors"
	"fmt"
	"strconv"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ringtrue/internal/fileerr"
)

// flagFault says in plain words what is wrong with a flag of a call.
func flagFault(c *cobra.Command, err error) error {
	var none *pflag.NotExistError
	var bare *pflag.ValueRequiredError
	var wrong *pflag.InvalidValueError
	switch {
	case errors.As(err, &none) && none.GetSpecifiedShortnames() == "":
		return inputErrorf("unknown flag --%s; %s", none.GetSpecifiedName(), flagMeant(c, none.GetSpecifiedName()))
	case errors.As(err, &bare):
		what, _ := pflag.UnquoteUsage(bare.GetFlag())
		return inputErrorf("--%s needs a value: --%[1]s %s", bare.GetFlag().Name, what)
	case errors.As(err, &wrong):
		if words := flagWants(wrong); words != "" {
			return inputErrorf("--%s: %s", wrong.GetFlag().Name, words)
		}
	}
	return inputErrorf("%w; see %s --help", err, c.CommandPath())
}

// flagMeant names the flag that an unknown one was most likely meant to be.
func flagMeant(c *cobra.Command, name string) string {
	var known []string
	c.Flags().VisitAll(func(f *pflag.Flag) { known = append(known, f.Name) })
	c.InheritedFlags().VisitAll(func(f *pflag.Flag) { known = append(known, f.Name) })
	if near := fileerr.Nearest(name, known); near != "" {
		return "did you mean --" + near + "?"
	}
	return fmt.Sprintf("see %s --help", c.CommandPath())
}

// flagWants says what a flag of numbers or of yes and no takes; "" where its
// own words say it.
func flagWants(wrong *pflag.InvalidValueError) string {
	text := strconv.Quote(wrong.GetValue())
	large := errors.Is(wrong, strconv.ErrRange)
	switch wrong.GetFlag().Value.Type() {
	case "bool":
		return fmt.Sprintf("takes no value; write --%s alone, without %s", wrong.GetFlag().Name, text)
	case "int", "int64":
		if large {
			return text + " is far too large"
		}
		return text + " is not a whole number; write it like 3"
	case "uint", "uint64":
		if large {
			return text + " is far too large"
		}
		return text + " is not a whole number of 0 or more; write it like 3"
	case "intSlice":
		return text + " is not a list of frets; write it like 7,14"
	case "float64":
		if large {
			return text + " is far too large"
		}
		return text + " is not a number; write it like 2.5"
	}
	return ""
}

// namesFile refuses a flag that is to name a file and is empty, as where a
// script's own variable is not set: nothing would be written, without a word.
// An empty --book means the one that is taken without it.
func namesFile(c *cobra.Command, _ []string) error {
	var fault error
	c.Flags().Visit(func(f *pflag.Flag) {
		what, _ := pflag.UnquoteUsage(f)
		if fault == nil && what == "FILE" && f.Name != "book" && f.Value.String() == "" {
			fault = inputErrorf("--%s is empty; name a file after it", f.Name)
		}
	})
	return fault
}
