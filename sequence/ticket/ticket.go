// Package ticket makes what goes with a racket after the job, as text for a receipt printer, as a label and as a card,
// and the technique card to pin above a machine. It takes plain values and gives bytes back: no clock, no files.
//
// Start with New, which follows a finished job through its events; then ask the Ticket for Text, SVG or PDF. StepsPDF
// needs no job in a book, only a plan.
package ticket

import (
	"fmt"
	"time"

	"pullcard/patterns"
	"pullcard/patterns/measure"
	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
)

// Facts are what a ticket is made of. Plan and Events are the job; all else may be left away, and the ticket then does
// not speak of it. Names may hold anything: nothing of them steers a printer, a terminal or a file format.
type Facts struct {
	Number                   int64  // of the job in its book
	Code                     string // what it is called where several books know it, empty where the number does
	Player, Racket, Stringer string
	Mains, Crosses           sequence.String
	Machine                  sequence.Machine
	Plan                     *plan.Plan       // the job's first one
	Events                   []progress.Event // all of the job's, those of mishaps with their plans
	// Hoop gives the picture its proportions; without one those usual for the sport are taken.
	Hoop    *patterns.Hoop
	Reading *Reading
	// Offset is what was added on the machine to what was ordered, none where nothing was.
	Offset measure.Tension
	// Because is why it is strung so all the same, where that was doubted. Price is with its currency and whether it is paid.
	Because, Price string
	// PlaysAWeek is how often the racket is played, for the date to restring; 0 gives none.
	PlaysAWeek float64
	// Notes asks for the stringer's own words, which may not be meant for the player.
	Notes bool
}

// Reading is what a tap or a gauge said of the bed after the job.
type Reading struct {
	Value   float64
	Unit    string        // "Hz", "N/mm" or whatever the gauge gives
	After   time.Duration // how long after the job, 0 when not noted
	Celsius *float64      // nil when not noted
}

// Ticket is what goes with a racket. It is made by New.
type Ticket struct {
	Facts
	journal
}

// New follows a job through its events. It refuses events that do not fit and a job that is not finished: a ticket goes
// with a strung racket.
func New(f Facts) (*Ticket, error) {
	j, err := follow(f.Plan, f.Events)
	if err != nil {
		return nil, fmt.Errorf("make the ticket: %w", err)
	}
	f.Machine.Name = safe(f.Machine.Name) // its cautions name it
	return &Ticket{f, j}, nil
}

// Restring is the date by the rule, ok is false without PlaysAWeek. As many times a year as one plays in a week, once a
// year at the least: common practice of the trade, and no promise.
func (t *Ticket) Restring() (date time.Time, ok bool) { return Restring(t.at, t.PlaysAWeek) }

// Restring is that date for a racket that was strung at a time.
func Restring(strung time.Time, playsAWeek float64) (date time.Time, ok bool) {
	if !(playsAWeek > 0) {
		return time.Time{}, false
	}
	const year = 365
	return strung.AddDate(0, 0, int(year/max(playsAWeek, 1)+.5)), true
}
