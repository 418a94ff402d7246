// Command pullcard is the bench assistant of a racket stringer.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"github.com/spf13/cobra"
)

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

// The exit statuses.
const (
	exitDone  = 0
	exitInput = 1 // the input is wrong
	exitUse   = 2 // the program was called wrongly
)

// failure is an error of the work itself; any other error comes from how the program was called.
type failure struct{ error }

func (f failure) Unwrap() error { return f.error }

// failing marks the errors of a command as failures.
func failing(work func(*cobra.Command, []string) error) func(*cobra.Command, []string) error {
	return func(c *cobra.Command, args []string) error {
		if err := work(c, args); err != nil {
			return failure{err}
		}
		return nil
	}
}

func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	root := command()
	root.SetArgs(args)
	root.SetIn(stdin)
	root.SetOut(stdout)
	root.SetErr(stderr)
	err := root.ExecuteContext(ctx)
	var work failure
	switch {
	case err == nil:
		return exitDone
	case errors.As(err, &work):
		fmt.Fprintln(stderr, err)
		return exitInput
	}
	fmt.Fprintf(stderr, "pullcard: %s; see pullcard --help\n", strings.TrimSpace(err.Error()))
	return exitUse
}

func command() *cobra.Command {
	var l looks
	root := &cobra.Command{
		Use:   "pullcard [JOB.toml ...]",
		Short: "The bench assistant of a racket stringer",
		Long: `pullcard turns a frame's layout and the house's technique sheet into an ordered
list of steps and walks through it at the stringing machine. Without a command
it opens the bench on the jobs in progress, the job files named and a demo.

The makers' instructions, local rules and a trained stringer's judgement come
first. Wear eye protection.`,
		Args:          cobra.ArbitraryArgs,
		SilenceErrors: true,
		SilenceUsage:  true,
		RunE:          rackOrBench(&l),
	}
	l.flags(root)
	root.PersistentFlags().String("book", "", "the record book (else $PULLCARD_BOOK, else in your data folder)")
	root.AddCommand(benchCommand(), stepsCommand(), checkCommand(), bookCommand())
	root.CompletionOptions.HiddenDefaultCmd = true
	return root
}
