// Package bench is the screen at the machine: one step at a time, read at a glance, done with one key.
//
// Call New with a Job; the model records every key that counts through the Job's Recorder and shows a step as done
// only when it has been recorded.
package bench

import (
	"context"
	"time"

	"github.com/charmbracelet/bubbles/cursor"
	"github.com/charmbracelet/bubbles/help"
	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/bubbles/textinput"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/patterns/measure"
	"pullcard/sequence/act"
	"pullcard/sequence/cases"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/tui/bed"
	"pullcard/tui/draw"
	"pullcard/tui/ear"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// Recorder keeps an event for good; when Record returns nil the event survives whatever happens to the program.
type Recorder interface {
	Record(ctx context.Context, e progress.Event) error
}

// Job is a racket on the bench.
type Job struct {
	Player, Racket string
	Plan           *plan.Plan
	Events         []progress.Event // what happened so far
	Warnings       []string         // what to know before beginning
	// Numbers works out lengths, tensions and the bed of the plan as it stands, which takes a moment; nil when the job's files are
	// not at hand.
	Numbers func(*plan.Plan) bed.Sheet
	// Tap is the microphone for taps on the finished bed; nil where there is none.
	Tap      *ear.Ear
	Recorder Recorder
	// Alarm says what has to be known at once, a word or two and after a colon the rest: where the work is kept when it could not
	// stay in the book, which bench took the racket over. It is asked after each event and when other benches did something. Nil for never.
	Alarm func(others bool) string
	// Turn is how the frame lies on this machine, nil where that is not known; Turned keeps another one, nil where it
	// cannot be kept.
	Turn   *draw.View
	Turned func(draw.View) error
	// Lesson has the steps say what the screen shows and what the keys do, for a demo.
	Lesson bool
	// Cuts are the lengths to cut of each piece of string, where they are known.
	Cuts map[plan.Piece]act.Length
	// Offset is what is added on this machine to what is ordered, the zero tension for nothing.
	Offset measure.Tension
	// Park sets the racket aside for another one; nil where it cannot be.
	Park func() error
	// Foresee works out what to say before a step of the plan as it stands: of loads of the supports, and of what to measure. It
	// takes a moment; nil for nothing.
	Foresee func(*plan.Plan) map[int][]string
	// UID is that of its record, empty until it is in the book; Lot says that it is one of several. Nil for a job of no book.
	UID func() string
	Lot bool
	// After are what may be done with the racket once it is strung.
	After []After
	// Others are the other rackets in work, each with where it stands.
	Others []string
}

// After is a key of the last screen.
type After struct {
	Key key.Binding
	Do  tea.Cmd
}

// Settings are what a house chooses for its bench.
type Settings struct {
	// Hold is the time within which the same key again is a held key and does not count; the root keeps it on every screen.
	Hold time.Duration
	// Now is the clock.
	Now func() time.Time
	// Theme is how the screen looks.
	Theme theme.Theme
	// ASCII draws with ASCII characters only.
	ASCII bool
	// Turn is how the racket lies on the machine.
	Turn draw.View
	// Keys are further keys by what they do: "done", "back", …
	Keys map[string][]string
	// Far shows only what is read from afar, as large as the screen allows.
	Far bool
	// Ring sounds the terminal's bell before a boosted pull and when mains stand long without crosses; nil for silence.
	Ring func()
	// Say has a voice say text number n, and ends what it was saying; nil for no voice. Spoken are its words.
	Say    func(n int, text string)
	Spoken *act.Table
	// Title shows step, strand and tension in the terminal's title.
	Title bool
}

// mode is what the keys mean at the moment.
type mode uint8

const (
	working  mode = iota
	resuming      // asks whether things stand as they were left
	choosing      // asks what slipped or went wrong
	deciding      // asks who decided to leave something as it is, and why
	asking        // asks why something happened, after its cure
	noting        // takes a note
	helping       // shows all keys
)

// Model is the bench.
type Model struct {
	set  Settings
	job  Job
	keys KeyMap
	help help.Model

	state  progress.State
	table  *act.Table
	mode   mode
	look   int  // the step looked at, 0 for the current one
	far    bool // only what is read from afar
	view   draw.View
	lies   draw.View // what the house remembers of it
	notice screen.Notice
	// alarm stands on every screen as long as it holds, in full until the next event.
	alarm   string
	briefly bool
	write   write

	asked []asked      // the questions so far, the last one is on the screen
	leave cases.Answer // what is left as it is, once it is known who decided it
	why   []int        // numbers of the events of which it is asked why they happened
	then  func(Model) (Model, tea.Cmd)
	input textinput.Model

	began, now    time.Time
	past          progress.Journal // what happened so far
	lessons       map[int]string   // by step, nil without a lesson
	anew          bool             // what was told to have gone wrong was taken back just now
	bareSince     time.Time        // when mains began to stand without crosses, zero when they do not
	chosen        string           // the answer that was given by the last key, as a voice says it
	texts         int              // said so far after the first
	figure        time.Time        // when a figure gave an answer
	firstMain     time.Time        // when the first main was pulled, zero while none is tight
	width, height int
	scene         scene
	ink           draw.Palette
	paint         [][2]string // by role: what to write before and after a piece of a line
	foresees      *plan.Plan  // of which it was asked what to say before steps
	foreseen      foreseenMsg // what came of it
}

// New is the bench with a job, at the step where its events left it. The error says which event does not fit the plan.
func New(job Job, set Settings) (Model, error) {
	state, err := progress.Fold(job.Plan, job.Events)
	if err != nil {
		return Model{}, err
	}
	m := Model{set: set, job: job, keys: newKeyMap(set.Keys), help: set.Theme.Help(false), state: state, table: act.Written(), view: set.Turn, far: set.Far}
	if job.Turn != nil {
		m.view = *job.Turn
	}
	m.lies = m.view
	m = m.SetTheme(set.Theme)
	m.input = textinput.New()
	m.styleInput()
	m.input.CharLimit = 400
	m.input.Prompt = "› "
	m.input.Cursor.SetMode(cursor.CursorStatic) // a blinking one would repaint all the time
	m.now = set.Now()
	if job.Lesson {
		m.lessons = lessons(job.Plan)
	}
	m.remember(job.Events...)
	m.anew = takenBack(m.past)
	m.recall(job.Plan, job.Events)
	if len(job.Events) > 0 {
		m.began = job.Events[0].At
		if state.Status() == progress.Open {
			m.mode = resuming
		}
	}
	m.foresees = m.state.Plan() // by Init
	m.refresh()
	return m, nil
}

// Init starts the minute.
func (m Model) Init() tea.Cmd { return tea.Batch(tick(), m.titled(), m.saying(1), m.foresee()) }

// SetSize fits the screen into a terminal of so many columns and rows.
func (m Model) SetSize(width, height int) Model {
	m.width, m.height = width, height
	m.input.Width = max(width-8, 10)
	m.refresh()
	return m
}

// SetTheme changes how the screen looks.
func (m Model) SetTheme(t theme.Theme) Model {
	m.set.Theme = t
	m.ink, m.paint = draw.NewPalette(t, m.set.ASCII), nil
	for _, r := range theme.Roles() {
		before, after := t.Around(r)
		m.paint = append(m.paint, [2]string{before, after})
	}
	m.help.Styles = t.Help(false).Styles
	m.styleInput()
	return m
}

// styleInput gives the line in which text is typed the theme's looks.
func (m *Model) styleInput() {
	t := m.set.Theme
	m.input.PromptStyle, m.input.TextStyle, m.input.PlaceholderStyle = t.Style(theme.Quiet), t.Style(theme.Current), t.Style(theme.Quiet)
}

// shown is the number of the step on the screen.
func (m Model) shown() int {
	if m.look > 0 {
		return m.look
	}
	return m.state.Current()
}

func (m Model) step() *plan.Step { return &m.state.Plan().Steps[m.shown()-1] }

// canTap says whether the strung bed can be listened to.
func (m Model) canTap() bool {
	return m.finished() && m.state.Status() == progress.Finished && m.job.Tap != nil
}

// finished says whether the screen shows a job on which nothing is left to do.
func (m Model) finished() bool { return m.look == 0 && m.state.Status() != progress.Open }

// again says whether the step shown is to be done once more.
func (m Model) again() bool {
	return m.look == 0 && m.state.Status() == progress.Open && m.state.Redos(m.state.Current()) > 0
}
