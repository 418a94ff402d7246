// Package voice is how the command speaks of itself: what is wrong with how it was called, and with what it was given, in this program's
// words.
//
// Call Give on the root command, and Complain with what came of it.
package voice

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pullcard/patterns/source"
)

// Give has a command and those below it say in this program's words what is wrong with how they were called.
func Give(c *cobra.Command) {
	c.SetFlagErrorFunc(flagError)
	if takes := c.Args; takes != nil && c.HasParent() {
		c.Args = func(c *cobra.Command, args []string) error {
			if takes(c, args) == nil {
				return nil
			}
			if c.HasSubCommands() && len(args) > 0 {
				return NoCommand(c, args[0])
			}
			return fmt.Errorf("it is called as %s", c.UseLine())
		}
	}
	for _, below := range c.Commands() {
		Give(below)
	}
}

// NoCommand says that a name is that of no command below another, nor below the root that of a file, and which command is near.
func NoCommand(c *cobra.Command, name string) error {
	none := fmt.Sprintf("command and no file %q", name)
	if c.HasParent() {
		none = fmt.Sprintf("command %q of %s", name, c.Name())
	}
	var names []string
	for _, below := range c.Commands() {
		if below.IsAvailableCommand() {
			names = append(names, below.Name())
		}
	}
	return fmt.Errorf("there is no %s%s", none, meant(name, names))
}

// meant asks whether something near was meant, behind what is wrong.
func meant(word string, names []string) string {
	if near := source.Meant(word, names); near != "" {
		return "; " + near
	}
	return ""
}

func flagError(c *cobra.Command, err error) error {
	var none *pflag.NotExistError
	var bare *pflag.ValueRequiredError
	var bad *pflag.InvalidValueError
	switch {
	case errors.Is(err, pflag.ErrHelp):
		return err
	case errors.As(err, &none):
		name := none.GetSpecifiedName()
		if none.GetSpecifiedShortnames() != "" {
			return fmt.Errorf("%s has no flag -%s", c.Name(), name)
		}
		return fmt.Errorf("%s has no flag --%s%s", c.Name(), name, meantFlag(c.Flags(), name))
	case errors.As(err, &bare):
		return fmt.Errorf("--%s stands without a value; write %s", bare.GetFlag().Name, usage(bare.GetFlag()))
	case errors.As(err, &bad):
		return fmt.Errorf("--%s is %q, which it cannot be; write %s", bad.GetFlag().Name, bad.GetValue(), usage(bad.GetFlag()))
	}
	return err
}

// meantFlag asks for the flags whose help speaks of what was named, as the mains' string and the crosses' of "string"; where there are
// none, or too many to choose from, for one that is written nearly so.
func meantFlag(flags *pflag.FlagSet, name string) string {
	var names, about []string
	flags.VisitAll(func(f *pflag.Flag) {
		names = append(names, "--"+f.Name)
		what, _, _ := strings.Cut(f.Usage, ";")
		words := strings.FieldsFunc(what, func(r rune) bool { return !unicode.IsLetter(r) })
		if slices.Contains(words, strings.TrimSuffix(name, "s")) {
			about = append(about, fmt.Sprintf("--%s (%s)", f.Name, what))
		}
	})
	if n := len(about); n > 0 && n < 4 {
		return "; did you mean " + strings.Join(about, " or ") + "?"
	}
	return meant("--"+name, names)
}

// usage shows how a flag is written, and what it is for.
func usage(f *pflag.Flag) string {
	name, help := pflag.UnquoteUsage(f)
	return fmt.Sprintf("--%s %s: %s", f.Name, strings.ToUpper(name), help)
}
