package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"regexp"
	"runtime/debug"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pullcard/patterns/source"
)

// version is what this program was built from: a release's number, else the commit and its day, as the build wrote it down.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "of unknown origin"
	}
	set := map[string]string{}
	for _, s := range info.Settings {
		set[s.Key] = s.Value
	}
	words := []string{strings.TrimPrefix(cmp.Or(info.Main.Version, "(devel)"), "v")}
	if commit := set["vcs.revision"]; commit != "" {
		day, _, _ := strings.Cut(set["vcs.time"], "T")
		words = append(words, "commit "+commit[:min(len(commit), 12)], "of "+day)
	}
	if set["vcs.modified"] == "true" {
		words = append(words, "changed since")
	}
	return strings.Join(words, " ")
}

// inVoice has a command and those below it say in this program's words what is wrong with how they were called.
func inVoice(c *cobra.Command) {
	c.SetFlagErrorFunc(flagError)
	if takes := c.Args; takes != nil && c.HasParent() {
		c.Args = func(c *cobra.Command, args []string) error {
			if takes(c, args) == nil {
				return nil
			}
			if c.HasSubCommands() && len(args) > 0 {
				return noCommand(c, args[0])
			}
			return fmt.Errorf("it is called as %s", c.UseLine())
		}
	}
	for _, below := range c.Commands() {
		inVoice(below)
	}
}

// noCommand says that there is no command of this name below another, and which is near.
func noCommand(c *cobra.Command, name string) error {
	return fmt.Errorf("there is no command %q of %s%s", name, c.Name(), meant(name, commands(c)))
}

func commands(c *cobra.Command) (names []string) {
	for _, below := range c.Commands() {
		if below.IsAvailableCommand() {
			names = append(names, below.Name())
		}
	}
	return names
}

// meant asks whether something near was meant, where there is something near.
func meant(word string, names []string) string {
	if near := source.Nearest(word, names); near != "" {
		return fmt.Sprintf("; did you mean %s?", near)
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
		var names []string
		c.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, "--"+f.Name) })
		name := none.GetSpecifiedName()
		if none.GetSpecifiedShortnames() != "" {
			return fmt.Errorf("%s has no flag -%s", c.Name(), name)
		}
		return fmt.Errorf("%s has no flag --%s%s", c.Name(), name, meant("--"+name, names))
	case errors.As(err, &bare):
		return fmt.Errorf("--%s stands without a value; write %s", bare.GetFlag().Name, usage(bare.GetFlag()))
	case errors.As(err, &bad):
		return fmt.Errorf("--%s is %q, which it cannot be; write %s", bad.GetFlag().Name, bad.GetValue(), usage(bad.GetFlag()))
	}
	return err
}

// usage shows how a flag is written, and what it is for.
func usage(f *pflag.Flag) string {
	name, help := pflag.UnquoteUsage(f)
	return fmt.Sprintf("--%s %s: %s", f.Name, strings.ToUpper(name), help)
}

// complaint is one thing that is wrong, for scripts.
type complaint struct {
	File    string `json:"file,omitempty"`
	Line    int    `json:"line,omitempty"`
	Column  int    `json:"column,omitempty"`
	Problem string `json:"problem"`
	Remedy  string `json:"remedy,omitempty"`
}

// complain writes what is wrong: a line a problem, or as JSON.
func complain(out io.Writer, json bool, lines []string) {
	if !json {
		for _, line := range lines {
			fmt.Fprintln(out, clean(line))
		}
		return
	}
	list := make([]complaint, len(lines))
	place := regexp.MustCompile(`^(.+?):(\d+):(\d+): (.*)$`)
	for i, line := range lines {
		c := &list[i]
		if at := place.FindStringSubmatch(line); at != nil {
			c.File, line = at[1], at[4]
			c.Line, _ = strconv.Atoi(at[2])
			c.Column, _ = strconv.Atoi(at[3])
		}
		c.Problem, c.Remedy, _ = strings.Cut(line, "; ")
	}
	_ = writeJSON(out, list) // there is nowhere left to say that it cannot be written
}
