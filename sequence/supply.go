package sequence

import (
	"errors"

	"pullcard/patterns/grid"
	"pullcard/patterns/measure"
	"pullcard/patterns/source"
	"pullcard/sequence/plan"
)

// Supply is the set or reel that a string is cut from, with lengths in mm; all of them are 0 where the job names none.
type Supply struct {
	SetMM          float64
	Half           bool    // of the set
	ReelMM, LeftMM float64 // of a new reel, and what is left on one that is not

	at source.Pos // of its length, for messages
}

// Stock is what there is to cut from.
func (s Supply) Stock() grid.Stock {
	switch {
	case s.LeftMM > 0:
		return grid.Stock{Name: "the reel", MM: s.LeftMM}
	case s.ReelMM > 0:
		return grid.Stock{Name: "the reel", MM: s.ReelMM}
	case s.Half:
		return grid.Stock{Name: "the set", MM: s.SetMM}.Half()
	case s.SetMM > 0:
		return grid.Stock{Name: "the set", MM: s.SetMM}
	}
	return grid.Stock{}
}

// supply reads what a string is cut from: a set of a length, half of one, or a reel and what is left on it.
func (r jobReader) supply(t *source.Table) Supply {
	set, half, reel, left := t.Text("length"), t.Bool("half"), t.Text("reel"), t.Text("left")
	switch {
	case set.Given && (reel.Given || left.Given):
		r.doc.Problem(set.Pos, "length is that of a set and stands beside a reel; write one of them")
	case left.Given && !reel.Given:
		r.doc.Problem(left.Pos, `left is what is left on a reel; write reel = "200 m" beside it`)
	case half.Value && !set.Given:
		r.doc.Problem(half.Pos, `half = true is half a set; write length = "12 m" beside it`)
	}
	switch {
	case left.Given:
		s := Supply{ReelMM: r.stock("reel", reel), LeftMM: r.stock("left", left), at: left.Pos}
		if s.LeftMM > s.ReelMM && s.ReelMM > 0 {
			r.doc.Problem(left.Pos, "left is %s, more than the reel's %s; exchange them", left.Value, reel.Value)
		}
		return s
	case reel.Given:
		return Supply{ReelMM: r.stock("reel", reel), at: reel.Pos}
	case set.Given:
		return Supply{SetMM: r.stock("length", set), Half: half.Value, at: set.Pos}
	}
	return Supply{}
}

func (r jobReader) stock(key string, v source.Text) float64 {
	return r.doc.Measured(key, v, measure.ParseLength, 100, 2_000_000, `a set is about 12 m and a reel 200 m, so write "12 m"`)
}

// Take takes pieces from the sets and reels that the job names and returns what is left of each. The error is a
// source.Problems that says what is missing, before anything is cut.
func (j *Job) Take(pieces []grid.Piece) (left []grid.Stock, err error) {
	mains, crosses := j.StringMains.Supply, j.StringCrosses.Supply
	var of [2][]grid.Piece // pieces of the mains' string, of the crosses' if that is another
	for _, p := range pieces {
		i := 0
		if p.Name == string(plan.PieceCrosses) && crosses.at != mains.at {
			i = 1
		}
		of[i] = append(of[i], p)
	}
	var problems source.Problems
	for i, s := range []Supply{mains, crosses} {
		stock := s.Stock()
		if stock.MM == 0 || len(of[i]) == 0 {
			continue
		}
		rest, err := stock.Take(of[i]...)
		if short := (*grid.ShortError)(nil); errors.As(err, &short) {
			problems = append(problems, source.Problem{File: j.File, Pos: s.at, Text: short.Error()})
		}
		left = append(left, rest)
	}
	if problems != nil {
		return nil, problems
	}
	return left, nil
}
