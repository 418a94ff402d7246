// Package shop is what a stringer's shop does with its book: it reads job files and proves their plans, sets jobs up and
// corrects them, lines them up, opens them for the bench and records their work, and tells what the book knows of people,
// rackets, strings and machines. It has neither flags nor screens. Prove and Mend are the only places where plans are proven.
//
// Make a Shop of a book, the files and a clock. Files alone reads and proves what needs no book.
package shop

import (
	"cmp"
	"time"

	"pullcard/sequence/book"
	"pullcard/sequence/controlchart"
	"pullcard/sequence/schedule"
)

// Shop is a shop with its book. Its methods may be called from several goroutines.
type Shop struct {
	Files
	Book *book.Book
	// Now is the clock, in the zone in which times are told.
	Now func() time.Time
	// Stringer is who stands at the bench, empty where nobody said.
	Stringer string
	// House tells how the house works; nil for what is usual.
	House func() (House, error)

	memo memo
}

// House is how a house works: how far its gauge is trusted, and when it is open.
type House struct {
	Gauge GaugeTrust
	Hours schedule.Hours
	// Technique is the sheet of a racket of which nobody says another, empty for none.
	Technique string
}

// house is how the house works.
func (s *Shop) house() (House, error) {
	if s.House == nil {
		return House{Gauge: GaugeTrust{SDN: controlchart.GaugeSD, Within: GaugeDays * 24 * time.Hour}}, nil
	}
	return s.House()
}

// GaugeTrust is how good a house's gauge is, as one standard deviation of a reading in newtons, and how old a check of a
// machine with it may be.
type GaugeTrust struct {
	SDN    float64
	Within time.Duration
}

// DemoFile is the name of the job that is built in.
const DemoFile = "demo"

// demoJob is invented, player and all.
const demoJob = `player    = "Demo player (invented)"
racket    = "first racket"
frame     = "club-sixteen"
technique = "two-piece-skip"

[tension]
mains   = "24 kg"
crosses = "23 kg"
`

// Demo is the job that is built in.
func (f Files) Demo() (*Work, error) { return f.Work(DemoFile, []byte(demoJob)) }

// Title is what a racket on the bench is called.
func Title(player, racket, frame string) string {
	if player != "" && racket != "" {
		return player + " · " + racket
	}
	return cmp.Or(player+racket, frame)
}

// Elsewhere says where the work is kept since the book went away, empty while it is in the book.
func (s *Shop) Elsewhere() string { return elsewhere(s.Book) }

func elsewhere(b *book.Book) string {
	if r := b.Rescued(); r != nil {
		return r.String()
	}
	return ""
}
