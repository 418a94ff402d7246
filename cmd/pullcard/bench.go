package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/term"
	"github.com/muesli/termenv"
	"github.com/spf13/cobra"

	_ "bench.invalid/background" // before bubbletea is initialised: see there

	"pullcard/cmd/internal/disk"
	"pullcard/cmd/internal/speaker"
	"pullcard/patterns/source"
	"pullcard/patterns/tap"
	"pullcard/sequence/act"
	"pullcard/sequence/book"
	"pullcard/sequence/shop"
	"pullcard/tui"
	"pullcard/tui/bench"
	"pullcard/tui/screen"
	"pullcard/tui/settings"
	"pullcard/tui/terminal"
	"pullcard/tui/theme"
)

// looks are the settings of the screens, which flags go before.
type looks struct {
	settings.Settings
	words *act.Table
}

func (l *looks) flags(c *cobra.Command) {
	c.Flags().StringVar(&l.Theme, "theme", "auto", "auto, dark, light, contrast, contrast-light or plain")
	c.Flags().BoolVar(&l.Far, "far", false, "begin with what is read from afar, as large as it goes")
	c.Flags().BoolVar(&l.ASCII, "ascii", false, "draw with ASCII characters only")
	c.Flags().DurationVar(&l.Hold, "hold", settings.Usual().Hold, "the same key again within this time is a held key and counts once")
}

func benchCommand() *cobra.Command {
	var l looks
	c := &cobra.Command{
		Use:         "bench JOB.toml",
		Short:       "Open the bench on a job",
		Long:        "Opens the bench on a job. A job that was left is taken up where it was.",
		Args:        cobra.ExactArgs(1),
		Annotations: map[string]string{onScreen: "bench"},
		RunE: failing(func(c *cobra.Command, args []string) error {
			data, err := readAsked(c, args[0])
			var w *shop.Work
			if err == nil && !hasBook(c) { // none is made for a job that is not right
				w, err = disk.Files().Work(args[0], data)
			}
			if err == nil {
				err = l.settle(c)
			}
			if err != nil {
				return err
			}
			return inBook(c, func(s *shop.Shop) error {
				if w == nil {
					if w, err = s.Work(args[0], data); err != nil {
						return err
					}
				}
				h := in(s)
				return l.show(c, h, func(set bench.Settings) (screen.Screen, error) {
					job, err := h.job(h.seat.Open(c.Context(), false, func(ctx context.Context) (shop.Bench, error) { return s.OpenFile(ctx, args[0], w) }))
					if err != nil {
						return nil, err
					}
					return tui.Bench(job, set)
				})
			})
		}),
	}
	l.flags(c)
	return c
}

// rackOrBench is what the program does without a command: the rack, with the job files named.
func rackOrBench(l *looks) func(*cobra.Command, []string) error {
	return failing(func(c *cobra.Command, args []string) error {
		if err := l.settle(c); err != nil {
			return err
		}
		return inBook(c, func(s *shop.Shop) error {
			h := in(s, args...)
			return l.show(c, h, func(set bench.Settings) (screen.Screen, error) { return tui.Rack(h, set), nil })
		})
	})
}

// settle reads the settings file, which the flags go before, and says why the screens cannot be shown as they are asked
// for, before anything is opened.
func (l *looks) settle(c *cobra.Command) error {
	if !term.IsTerminal(os.Stdin.Fd()) || !term.IsTerminal(os.Stdout.Fd()) {
		return misuse{errors.New("the bench takes a terminal for keys and screen; pullcard steps prints a job's steps anywhere")}
	}
	if l.Theme != "auto" && !slices.Contains(theme.Names(), l.Theme) {
		return misuse{fmt.Errorf("--theme %q is not known; %s", l.Theme, source.Instead(l.Theme, append([]string{"auto"}, theme.Names()...)))}
	}
	set, err := houseSettings()
	if err != nil {
		return err
	}
	given := c.Flags().Changed
	if given("theme") {
		set.Theme = l.Theme
	}
	if given("ascii") {
		set.ASCII = l.ASCII
	}
	if given("far") {
		set.Far = l.Far
	}
	if given("hold") {
		set.Hold = l.Hold
	}
	l.Settings = set
	l.words, err = set.Words(disk.Files().File)
	return err
}

// inBook opens the record book for the time of some work. One that is made, and stays, is told of, so that a slip in its name is seen.
func inBook(c *cobra.Command, work func(*shop.Shop) error) error {
	return onBook(c, book.Open, book.OpenAlone, func(s *shop.Shop) error {
		err := work(s)
		if s.Book.Made() && !errors.As(err, new(untouched)) {
			fmt.Fprintln(c.ErrOrStderr(), newBook(s))
		}
		return err
	})
}

// inOldBook opens a record book that is there, for work on what is in it.
func inOldBook(c *cobra.Command, work func(*shop.Shop) error) error {
	return onBook(c, book.OpenExisting, book.OpenExistingAlone, work)
}

func onBook(c *cobra.Command, open, alone bookOpener, work func(*shop.Shop) error) error {
	if only, err := c.Flags().GetBool("network-disk"); err == nil && only {
		open = alone
	}
	s, err := openShop(c.Context(), bookPath(c), open)
	if shared := (*book.SharedError)(nil); errors.As(err, &shared) && shared.Asks && agreed(c, shared) {
		s, err = openShop(c.Context(), shared.Path, alone)
	}
	if err != nil {
		return err
	}
	s.Stringer = stringer(c)
	err = work(s)
	if text := s.Elsewhere(); text != "" {
		err = errors.Join(err, errors.New(text))
	}
	if err != nil {
		_ = s.Book.Close() // the first error says more
		if errors.As(err, new(untouched)) && s.Book.Made() {
			return errors.Join(err, disk.RemoveBook(s.Book.Path()))
		}
		return err
	}
	return s.Book.Close()
}

// agreed asks somebody at a terminal whether a book is to be opened alone.
func agreed(c *cobra.Command, e *book.SharedError) bool {
	if !term.IsTerminal(os.Stdin.Fd()) || !term.IsTerminal(os.Stderr.Fd()) {
		return false
	}
	fmt.Fprintf(c.ErrOrStderr(), "The book %s lies in a folder that a program provides (%s), which may be on another machine.\nOpen it alone, with no second program beside? [y/N] ", clean(e.Path), e.Disk)
	said, _ := bufio.NewReader(c.InOrStdin()).ReadString('\n') // what cannot be read is a no
	return strings.EqualFold(strings.TrimSpace(said), "y")
}

// untouched is why nothing was written into a book; one that was made for it goes again.
type untouched struct{ error }

// Unwrap is the reason itself.
func (u untouched) Unwrap() error { return u.error }

// newBook tells of a book that was not there and, as nothing was said before it, where to begin.
func newBook(s *shop.Shop) string {
	return "a new book was made: " + clean(s.Book.Path()) + "; pullcard library lists the built-in frames and sheets"
}

// withBook is a command that works in the record book.
func withBook(work func(*cobra.Command, *shop.Shop, []string) error) func(*cobra.Command, []string) error {
	return failing(func(c *cobra.Command, args []string) error {
		return inBook(c, func(s *shop.Shop) error { return work(c, s, args) })
	})
}

// readingBook is a command that works in a record book that is there.
func readingBook(work func(*cobra.Command, *shop.Shop, []string) error) func(*cobra.Command, []string) error {
	return failing(func(c *cobra.Command, args []string) error {
		return inOldBook(c, func(s *shop.Shop) error { return work(c, s, args) })
	})
}

// stringer is who works at this bench: named by --stringer, or in the settings. Settings that cannot be read are told of
// where the screens need them.
func stringer(c *cobra.Command) string {
	if f := c.Root().PersistentFlags().Lookup("stringer"); f.Changed {
		return f.Value.String()
	}
	set, err := houseSettings()
	if err != nil {
		return ""
	}
	return set.Stringer
}

// colours is the environment as termenv should see it. A variable CI would take it all colours, but screens are only
// ever shown on a terminal.
type colours struct{}

// Environ is the whole environment.
func (colours) Environ() []string { return os.Environ() }

// Getenv is a variable of the environment.
func (colours) Getenv(key string) string {
	if key == "CI" {
		return ""
	}
	return os.Getenv(key)
}

// show runs the screens from the first one until the stringer leaves.
func (l *looks) show(c *cobra.Command, h *house, first func(bench.Settings) (screen.Screen, error)) error {
	renderer := lipgloss.NewRenderer(os.Stdout, termenv.WithEnvironment(colours{}))
	name := l.Theme
	if name == "auto" {
		name = terminal.Guess(os.Getenv("COLORFGBG"))
	}
	t, err := theme.New(renderer, name)
	if err != nil {
		return err
	}
	set := bench.Settings{Hold: l.Hold, Now: clock, Theme: t, ASCII: l.ASCII, Far: l.Far, Keys: l.Keys, Turn: l.Turn, Title: l.Title}
	if l.Bell {
		set.Ring = func() { _, _ = os.Stdout.WriteString("\a") } // a bell that does not ring is no error
	}
	if l.Voice != "" {
		voice := speaker.New(l.Voice)
		defer voice.Close()
		set.Say, set.Spoken = voice.Say, l.words
	}
	if err := h.sit(c.Context()); err != nil {
		return err
	}
	h.Listen = func(o tap.Options) (tap.Result, error) { return listen(c, nil, o) }
	hands := newHands()
	h.Rest = hands.rest
	up, err := first(set)
	if err != nil {
		return err
	}
	o := tui.Options{Theme: t, ASCII: l.ASCII, Now: clock, Hold: l.Hold}
	if h.Book != nil && h.Book.Made() {
		o.Notice = newBook(h.Shop)
	}
	m := tui.New(up, o)
	in := terminal.New(os.Stdin, clock)
	in.Pressed = hands.pressed
	// Signals end the context. Bubbletea's own handler beside it could wait for ever for a loop that has ended already.
	cells := terminal.NewCells(os.Stdout)
	cells.Painted = hands.painted
	p := tea.NewProgram(terminal.Shown{Model: m, On: cells}, tea.WithAltScreen(), tea.WithInput(in), tea.WithOutput(cells),
		tea.WithContext(c.Context()), tea.WithoutSignalHandler())
	in.Serve(p)
	defer h.keep(c.Context(), p.Send)()
	if l.Theme == "auto" && name == "dark" && terminal.Answers(os.Getenv("TERM")) {
		in.AskBackground(p, func() {
			if t, err := theme.New(renderer, "light"); err == nil {
				p.Send(tui.ThemeMsg{Theme: t})
			}
		})
	}
	_, err = p.Run()
	if err != nil && c.Context().Err() == nil {
		return fmt.Errorf("the screen stopped: %w; what was shown as done is in the book", err)
	}
	return nil
}
