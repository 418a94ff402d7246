// Command pullcard is the bench assistant of a racket stringer.
package main

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"os/signal"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"
	"syscall"
	"time"

	"github.com/spf13/cobra"

	"pullcard/cmd/internal/voice"
)

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

// The exit statuses.
const (
	exitDone  = 0
	exitInput = 1 // the input is wrong
	exitUse   = 2 // the program was called wrongly
	exitOpen  = 3 // done, with conflicts that a person must decide
)

// failure is an error of the work itself; any other error comes from how the program was called.
type failure struct{ error }

func (f failure) Unwrap() error { return f.error }

// misuse is an error of how the program was called that shows only at work.
type misuse struct{ error }

// undecided says that all was done and told, and that a person must decide something of it.
type undecided struct{ error }

// failing marks the errors of a command as failures.
func failing(work func(*cobra.Command, []string) error) func(*cobra.Command, []string) error {
	return func(c *cobra.Command, args []string) error {
		err := work(c, args)
		if m, u := (misuse{}), (undecided{}); err == nil || errors.As(err, &m) || errors.As(err, &u) {
			return err
		}
		return failure{asking(err)}
	}
}

func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	root := command(args...)
	root.SetArgs(args)
	root.SetIn(stdin)
	root.SetOut(stdout)
	root.SetErr(stderr)
	err := execute(ctx, root, args)
	if err == nil {
		return exitDone
	}
	if u := (undecided{}); errors.As(err, &u) {
		return exitOpen
	}
	json := slices.Contains(args, "--json")
	if work := (failure{}); errors.As(err, &work) {
		voice.Complain(stderr, json, strings.Split(err.Error(), "\n")...)
		return exitInput
	}
	voice.Complain(stderr, json, "pullcard: "+strings.TrimSpace(err.Error())+"; see pullcard --help")
	return exitUse
}

// grace is how long a command may take after a signal to put in order what it was at.
const grace = 2 * time.Second

// onScreen marks a command that has the terminal and gives it back by itself.
const onScreen = "screen"

// By how many percent the heap may grow until garbage is collected: until the first frame, which has less than the frames after it make, and
// then, as Go does it.
const untilFrame, usually = 300, 100

// execute runs a command. After the first signal it has a moment to end by itself; a reading or a reckoning that does not
// is left behind. The book is whole at every moment.
func execute(ctx context.Context, root *cobra.Command, args []string) error {
	if c, _, err := root.Find(args); err == nil && c.Annotations[onScreen] != "" {
		debug.SetGCPercent(untilFrame)
		return root.ExecuteContext(ctx)
	}
	done := make(chan error, 1)
	go func() { done <- root.ExecuteContext(ctx) }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
	}
	select {
	case err := <-done:
		return err
	case <-time.After(grace):
		return failure{errors.New("interrupted")}
	}
}

// command is the program as it is called. What is below the book are a hundred commands, made only for who may want one: each start would
// wait for them.
func command(args ...string) *cobra.Command {
	var l looks
	root := &cobra.Command{
		Use:   "pullcard [JOB.toml ...]",
		Short: "The bench assistant of a racket stringer",
		Long: `pullcard turns a frame's layout and the house's technique sheet into an ordered
list of steps and walks through it at the stringing machine. Without a command
it opens the bench on the jobs in progress, the job files named and a demo.
pullcard library lists the built-in frames and technique sheets, pullcard frame
is a form for your own frame.

The makers' instructions, local rules and a trained stringer's judgement come
first. Wear eye protection.`,
		Args:          jobFiles,
		Version:       voice.Version(),
		SilenceErrors: true,
		SilenceUsage:  true,
		RunE:          rackOrBench(&l),
		Annotations:   map[string]string{onScreen: "rack"},
	}
	l.flags(root)
	root.PersistentFlags().String("book", "", "the record book (else $PULLCARD_BOOK, else in your data folder)")
	root.PersistentFlags().Bool("network-disk", false, "open the book alone, as on a disk that other machines may write to")
	root.PersistentFlags().String("stringer", "", "who works at this bench (else as the settings say)")
	whole := slices.Contains(args, "book") || slices.Contains(args, "man")
	root.AddCommand(benchCommand(), frameCommand(), libraryCommand(), stepsCommand(), checkCommand(), cutCommand(), bedCommand(), strainCommand(), tapCommand(), ticketCommand(), bookCommand(whole), roomCommand(), settingsCommand(), manCommand())
	voice.Give(root)
	return root
}

// jobFiles refuses a word that names no file: most often it is a command with a slip of the finger.
func jobFiles(root *cobra.Command, args []string) error {
	for _, arg := range args {
		if _, err := os.Stat(arg); !errors.Is(err, fs.ErrNotExist) || filepath.Ext(arg) != "" {
			continue
		}
		return voice.NoCommand(root, arg)
	}
	return nil
}
