package calc

import (
	"fmt"
	"math"

	"pullcard/patterns"
	"pullcard/patterns/assume"
	"pullcard/patterns/mechanics"
)

// Left are the tensions left in a bed as its plan was played on the elastic hoop.
type Left struct {
	// When says of which moment: "off the machine" or "a day later".
	When string
	// Takes are the numbers that the play took for granted.
	Takes []assume.Line
	share map[patterns.Strand]float64 // of what was ordered for its kind
	kept  [2]float64                  // the mean of mains and crosses over what was ordered
}

// Left plays the work's plan; day takes the tensions a day later instead of right off the machine.
func (w Work) Left(house assume.Table, day bool) (*Left, error) {
	c, err := w.Strain(house)
	if err != nil {
		return nil, err
	}
	l := &Left{When: "off the machine", Takes: w.TakenForGranted(house), share: map[patterns.Strand]float64{}}
	if day {
		l.When = "a day later"
	}
	var count [2]float64
	for _, s := range c.Strands {
		n := s.OffMachine
		if day {
			n = s.AfterDay
		}
		strand, err := patterns.ParseStrand(s.Name)
		if err != nil {
			return nil, err
		}
		l.share[strand] = math.Max(n, slackN) / [2]float64{w.Job.Mains.Newtons(), w.Job.Crosses.Newtons()}[strand.Kind]
		l.kept[strand.Kind] += n / s.Ordered
		count[strand.Kind]++
	}
	for kind := range l.kept {
		l.kept[kind] /= count[kind]
	}
	return l, nil
}

// slackN is what a slack strand counts with, so that the net stays one.
const slackN = 1.0

// On is a setup with these tensions: each strand keeps its share of what is ordered. Without any it stays as it is.
func (l *Left) On(s mechanics.Setup) mechanics.Setup {
	if l == nil {
		return s
	}
	s.BoostN = map[patterns.Strand]float64{}
	for strand, share := range l.share {
		s.BoostN[strand] = (share - 1) * [2]float64{s.MainsN, s.CrossesN}[strand.Kind]
	}
	return s
}

// assumption says what was taken, with the mean loss.
func (l *Left) assumption(s mechanics.Setup) mechanics.Assumption {
	have, ordered := 0.0, 0.0
	for strand, share := range l.share {
		n := [2]float64{s.MainsN, s.CrossesN}[strand.Kind]
		have, ordered = have+share*n, ordered+n
	}
	return mechanics.Assumption{
		What: "tensions left strand by strand, " + l.When, Percent: math.Round(1000*(1-have/ordered)) / 10,
		Source: l.Words(),
	}
}

// Words say which tensions they are.
func (l *Left) Words() string {
	return fmt.Sprintf("the plan played on the elastic hoop, %s: mains keep %.0f %%, crosses %.0f %%; a mean, each strand has its own", l.When, 100*l.kept[0], 100*l.kept[1])
}

// sameFeel is mechanics.SameFeel; where tensions left are known it makes the bed feel like what is left, and gives back what has to be
// ordered for that if the other frame keeps as much.
func (l *Left) sameFeel(was, is mechanics.Setup, ball mechanics.Ball) (mechanics.Feel, error) {
	if l == nil {
		return mechanics.SameFeel(was, is, ball)
	}
	was.MainsN, was.CrossesN = was.MainsN*l.kept[0], was.CrossesN*l.kept[1]
	f, err := mechanics.SameFeel(was, is, ball)
	for _, p := range []*mechanics.Pair{&f.ByNet, &f.PlusMinus, &f.ByLength} {
		p.MainsN, p.CrossesN = p.MainsN/l.kept[0], p.CrossesN/l.kept[1]
	}
	return f, err
}
