package shop

import (
	"context"
	"fmt"

	"pullcard/patterns/assume"
	"pullcard/patterns/measure"
	"pullcard/sequence/book"
	"pullcard/sequence/calc"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
	"pullcard/sequence/verdict"
)

// SameFeel is a strung job and how another one is to be strung to feel the same.
type SameFeel struct {
	Job     int64    `json:"job"`
	Changes []string `json:"changes"`
	Mains   string   `json:"mains"`
	Crosses string   `json:"crosses"`
	// PlusMinus is how far the mains' tension may be off, about a 95 % interval; what it rests on is in the lines.
	PlusMinus string         `json:"plus_minus"`
	Set       string         `json:"set,omitempty"`
	Lines     []verdict.Line `json:"lines"`
	// Taken are the numbers of the elastic hoop that tensions left rest on, none for beds as they are ordered.
	Taken []assume.Line `json:"taken,omitempty"`
}

// Feel says how to string w so that it feels like a strung job, by the UID of that; left are the tensions left in a bed, nil to
// compare beds as they are ordered.
func (s *Shop) Feel(ctx context.Context, like string, w *Work, left func(calc.Work) (*calc.Left, error)) (SameFeel, error) {
	c, err := s.Book.Card(ctx, like)
	if err != nil {
		return SameFeel{}, err
	}
	m, err := s.machine(ctx, w, "")
	if err != nil {
		return SameFeel{}, err
	}
	return s.feel(ctx, c, w, w.Job.Machine.Name, m.offset, left)
}

func (s *Shop) feel(ctx context.Context, like book.Card, w *Work, machine string, offset measure.Tension, left func(calc.Work) (*calc.Left, error)) (SameFeel, error) {
	if like.Entry == nil {
		return SameFeel{}, fmt.Errorf("job %d has not been strung yet", like.ID)
	}
	old, mains, crosses, err := s.strung(ctx, like)
	if err != nil {
		return SameFeel{}, fmt.Errorf("job %d: %w", like.ID, err)
	}
	machines, err := s.machines(ctx, like)
	if err != nil {
		return SameFeel{}, err
	}
	to := setup(w, machine)
	change := verdict.Change{From: setup(old.Work, machines[like.UID]), To: to, Mains: mains, Crosses: crosses, Was: old.Work.Work, Is: w.Work, Offset: offset, Left: left}
	f, err := verdict.SameFeel(change)
	if err != nil {
		return SameFeel{}, err
	}
	out := SameFeel{Job: like.ID, Changes: to.Differences(change.From), Mains: f.Mains.String(), Crosses: f.Crosses.String(), PlusMinus: f.PlusMinus.Short(), Lines: f.Lines}
	if !offset.IsZero() {
		out.Set = string(records.Bed(f.SetMains.Short(), f.SetCrosses.Short()))
	}
	if out.Changes == nil {
		out.Changes = []string{}
	}
	return out, nil
}

// otherwise says in what a job is strung otherwise than the player's last one, of the same racket where there is one, and
// what would make it feel the same.
func (s *Shop) otherwise(ctx context.Context, w *Work, j records.Job, offset measure.Tension) ([]string, error) {
	if j.Player == "" {
		return nil, nil
	}
	history, err := s.Book.History(ctx, records.Job{Player: j.Player})
	if err != nil {
		return nil, err
	}
	var last *book.Card
	same := false // of the same racket
	for i, c := range history {
		if c.Entry == nil || c.Entry.State != progress.Finished {
			continue
		}
		is := j.Racket != "" && records.As[records.Job](c.Fields).Racket == j.Racket
		if last == nil || is && !same {
			last, same = &history[i], is
		}
	}
	if last == nil {
		return nil, nil
	}
	machine := w.Job.Machine.Name
	if uid := j.Machine; uid != "" {
		r, err := s.Book.Record(ctx, uid)
		if err != nil {
			return nil, err
		}
		machine = r.Label()
	}
	f, err := s.feel(ctx, *last, w, machine, offset, nil)
	if err != nil {
		return nil, nil // its files or its hoop are not at hand; the job goes on without
	}
	var words []string
	for _, change := range f.Changes {
		words = append(words, fmt.Sprintf("otherwise than job %d: %s", last.ID, change))
	}
	if computed, ordered := records.Bed(f.Mains, f.Crosses), records.Bed(w.Job.Mains.String(), w.Job.Crosses.String()); len(words) > 0 && computed != ordered {
		words = append(words, fmt.Sprintf("for the feel of job %d the bed computes %s; this job says %s (pullcard book feel tells what that assumes)", last.ID, computed, ordered))
	}
	return words, nil
}
