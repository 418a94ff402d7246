package main

import (
	"errors"
	"fmt"
	"os"
	"runtime/debug"
	"slices"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/term"
	"github.com/muesli/termenv"
	"github.com/spf13/cobra"

	_ "first" // before bubbletea is initialised: see there

	"pullcard/tui"
	"pullcard/tui/bench"
	"pullcard/tui/draw"
	"pullcard/tui/frame"
	"pullcard/tui/settings"
	"pullcard/tui/theme"
)

// frames is how often a second the screen is painted at most: bubbletea's highest rate, for the shortest way from key
// to picture.
const frames = 120

// garbage is how much garbage may gather, in percent of what is in use, before it is collected while the screens are shown.
// Each key makes a new frame and throws the old one away; collecting less often keeps the way from key to picture short,
// for some 15 MB of memory.
const garbage = 400

// looks are the choices of the bench's flags.
type looks struct {
	theme string
	ascii bool
	far   bool
	hold  time.Duration
	keys  map[string][]string // of the settings file only, like turn
	turn  draw.View
	bell  bool
	title bool
}

func (l *looks) flags(c *cobra.Command) {
	c.Flags().StringVar(&l.theme, "theme", "auto", "auto, dark, light, contrast, contrast-light or plain")
	c.Flags().BoolVar(&l.far, "far", false, "begin with what is read from afar, as large as it goes")
	c.Flags().BoolVar(&l.ascii, "ascii", false, "draw with ASCII characters only")
	c.Flags().DurationVar(&l.hold, "hold", settings.Usual().Hold, "the same key again within this time is a held key and counts once")
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
			w, err := loadAsked(c, args[0])
			if err == nil {
				err = l.settle(c)
			}
			if err != nil {
				return err
			}
			return withBook(c, func(s *shop) error {
				job, err := s.file(args[0], w)
				if err != nil {
					return err
				}
				if s.book.Made() {
					job.Warnings = append([]string{newBook(s)}, job.Warnings...)
				}
				return l.show(c, s, &job, nil)
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
		return withBook(c, func(s *shop) error {
			s.files = args
			return l.show(c, s, nil, nil)
		})
	})
}

// settle reads the settings file, which the flags go before, and says why the screens cannot be shown as they are asked
// for, before anything is opened.
func (l *looks) settle(c *cobra.Command) error {
	if !term.IsTerminal(os.Stdin.Fd()) || !term.IsTerminal(os.Stdout.Fd()) {
		return misuse{errors.New("the bench takes a terminal for keys and screen; pullcard steps prints a job's steps anywhere")}
	}
	if l.theme != "auto" && !slices.Contains(theme.Names(), l.theme) {
		return misuse{fmt.Errorf("--theme %q is not known; auto, %s are", l.theme, strings.Join(theme.Names(), ", "))}
	}
	set, err := houseSettings()
	if err != nil {
		return err
	}
	given := c.Flags().Changed
	if !given("theme") {
		l.theme = set.Theme
	}
	if !given("ascii") {
		l.ascii = set.ASCII
	}
	if !given("far") {
		l.far = set.Far
	}
	if !given("hold") {
		l.hold = set.Hold
	}
	l.keys, l.turn, l.bell, l.title = set.Keys, set.Turn, set.Bell, set.Title
	return nil
}

// withBook opens the record book for the time of some work. One that is made is told of, so that a slip in its name is seen.
func withBook(c *cobra.Command, work func(*shop) error) error {
	s, err := openShop(c.Context(), bookPath(c))
	if err == nil && s.book.Made() {
		fmt.Fprintf(c.ErrOrStderr(), "%s\n", newBook(s))
	}
	return inBook(c, s, err, work)
}

// readingBook opens a record book that is there, for work on what is in it.
func readingBook(c *cobra.Command, work func(*shop) error) (err error) {
	s, err := openOldShop(c.Context(), bookPath(c))
	return inBook(c, s, err, work)
}

func inBook(c *cobra.Command, s *shop, err error, work func(*shop) error) error {
	if err != nil {
		return err
	}
	s.stringer = stringer(c)
	err = work(s)
	if text := s.elsewhere(); text != "" {
		err = errors.Join(err, errors.New(text))
	}
	if err != nil {
		_ = s.book.Close() // the first error says more
		return err
	}
	return s.book.Close()
}

// newBook tells of a book that was not there.
func newBook(s *shop) string { return "a new book was made: " + clean(s.book.Path()) }

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

// show runs the screens until the stringer leaves: a job straight on the bench, a form, or else the rack.
func (l *looks) show(c *cobra.Command, s *shop, straight *bench.Job, form func(bench.Settings) (frame.Model, error)) error {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(garbage)
	}
	renderer := lipgloss.NewRenderer(os.Stdout, termenv.WithEnvironment(colours{}))
	name := l.theme
	if name == "auto" {
		name = guess(os.Getenv("COLORFGBG"))
	}
	t, err := theme.New(renderer, name)
	if err != nil {
		return err
	}
	o := tui.Options{Bench: bench.Settings{Hold: l.hold, Now: time.Now, Theme: t, ASCII: l.ascii, Far: l.far, Keys: l.keys, Turn: l.turn}, Straight: straight}
	o.Bench.Title = l.title
	if s.book.Made() {
		o.Notice = newBook(s)
	}
	if l.bell {
		o.Bench.Ring = func() { _, _ = os.Stdout.WriteString("\a") } // a bell that does not ring is no error
	}
	if form != nil {
		f, err := form(o.Bench)
		if err != nil {
			return err
		}
		o.Frame = &f
	}
	m, err := tui.New(s, o)
	if err != nil {
		return err
	}
	in := &bursts{ground: &ground{File: os.Stdin}}
	// Signals end the context. Bubbletea's own handler beside it could wait for ever for a loop that has ended already.
	p := tea.NewProgram(m, tea.WithAltScreen(), tea.WithFPS(frames), tea.WithInput(in), tea.WithOutput(os.Stdout),
		tea.WithContext(c.Context()), tea.WithoutSignalHandler())
	in.send = p.Send
	if l.theme == "auto" && name == "dark" && answers(os.Getenv("TERM")) {
		in.light = func() {
			if t, err := theme.New(renderer, "light"); err == nil {
				p.Send(tui.ThemeMsg{Theme: t})
			}
		}
		go in.ask(p)
	}
	_, err = p.Run()
	if err != nil && c.Context().Err() == nil {
		return fmt.Errorf("the screen stopped: %w; what was shown as done is in the book", err)
	}
	return nil
}
