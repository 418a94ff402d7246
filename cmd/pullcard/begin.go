package main

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"pullcard/patterns/grid"
	"pullcard/patterns/measure"
	"pullcard/sequence"
	"pullcard/sequence/book"
	"pullcard/sequence/plan"
	"pullcard/sequence/records"
	progress "pullcard/sequence/run"
	proof "pullcard/sequence/shop"
	"pullcard/tui/bench"
	"pullcard/tui/draw"
)

// fresh makes a job ready for the bench that has not been begun. card is its record where it waits in the book.
func (s *shop) fresh(path string, w *work, card *book.Record) (bench.Job, error) {
	d := book.Draft{
		Player: w.job.Player, Racket: w.job.Racket, Machine: w.job.Machine.Name, Stringer: s.stringer,
		File: key(path), Source: w.source, Plan: w.plan,
	}
	if card != nil {
		names, err := s.names(*card)
		if err != nil {
			return bench.Job{}, err
		}
		called := records.As[records.Job](names)
		d.UID, d.Job = card.UID, records.As[records.Job](card.Fields)
		d.Player, d.Racket = cmp.Or(called.Player, d.Player), cmp.Or(called.Racket, d.Racket)
	}
	if err := s.link(w, &d.Job); err != nil {
		return bench.Job{}, err
	}
	m, err := s.machine(w, d.Job.Machine)
	if err != nil {
		return bench.Job{}, err
	}
	if !m.offset.IsZero() {
		d.Job.Set = records.Bed(w.job.Mains.Plus(m.offset).String(), w.job.Crosses.Plus(m.offset).String())
	}
	pieces := toCut(w)
	from, short, err := s.supplies(pieces, d.Job)
	if err != nil {
		return bench.Job{}, err
	}
	other, err := s.otherwise(w, d.Job, m.offset)
	if err != nil {
		return bench.Job{}, err
	}
	others, err := s.others(0)
	r := &recorder{ctx: s.ctx, book: s.book, draft: d, state: progress.Start(w.plan), from: from}
	job := bench.Job{
		Player: d.Player, Racket: d.Racket, Plan: w.plan, Numbers: w.sheet, Offset: m.offset, Others: others, Lesson: path == demoFile, Cuts: cuts(pieces),
		Warnings: slices.Concat(allWarnings(w), short, m.words, other),
		Recorder: r, Elsewhere: r.elsewhere, Park: r.park, Tap: s.ear(w, r.job),
	}
	m.lies(s, &job)
	return job, err
}

// resume takes up a job of the book. Its plan is the one that was made then, and is proved again.
func (s *shop) resume(id int64) (bench.Job, error) {
	j, err := s.book.Job(s.ctx, id)
	if err != nil {
		return bench.Job{}, err
	}
	plans := []*plan.Plan{j.Plan}
	for _, e := range j.Events {
		if e.Plan != nil {
			plans = append(plans, e.Plan)
		}
	}
	for _, p := range plans {
		if err := proof.Prove(p); err != nil {
			return bench.Job{}, err
		}
	}
	state, err := progress.Fold(j.Plan, j.Events)
	if err != nil {
		return bench.Job{}, err
	}
	others, err := s.others(id)
	if err != nil {
		return bench.Job{}, err
	}
	card, err := s.book.Record(s.ctx, j.UID)
	if err != nil {
		return bench.Job{}, err
	}
	kept := records.As[records.Job](card.Fields)
	r := &recorder{ctx: s.ctx, book: s.book, id: id, uid: j.UID, known: j.Events, state: state,
		draft:  book.Draft{Player: j.Player, Racket: j.Racket, File: j.File, Source: j.Source, At: j.Made, Plan: j.Plan},
		parked: kept.Parked != ""}
	job := bench.Job{
		Player: j.Player, Racket: j.Racket, Plan: j.Plan, Events: j.Events, Warnings: j.Plan.Warnings, Others: others, Recorder: r, Elsewhere: r.elsewhere, Park: r.park,
		Lesson: j.File == demoFile,
	}
	return job, s.extras(j, kept, &job, r)
}

// extras adds what the job's files say beside the plan, where they are still as they were.
func (s *shop) extras(j *book.Job, kept records.Job, job *bench.Job, r *recorder) error {
	w, err := readWork(j.File, j.Source)
	if err != nil || w.plan.Plan != j.Fingerprint {
		return nil // the files changed or went; what they say is only an extra
	}
	m, err := s.machine(w, kept.Machine)
	if err != nil {
		return err
	}
	pieces := toCut(w)
	var short []string
	if r.from, short, err = s.supplies(pieces, kept); err != nil {
		return err
	}
	job.Warnings, job.Numbers, job.Offset = append(append(allWarnings(w), short...), m.words...), w.sheet, m.offset
	job.Cuts, job.Tap = cuts(pieces), s.ear(w, r.job)
	m.lies(s, job)
	return nil
}

// onMachine is what the book says of the machine of a job.
type onMachine struct {
	uid    string          // its record's, empty where there is none
	turn   string          // how the frame lies on it, empty where that was not said
	offset measure.Tension // the zero one for none
	words  []string
}

// lies tells a job how the frame lies on its machine, and has it remember another turn.
func (m onMachine) lies(s *shop, job *bench.Job) {
	if v, ok := draw.ReadView(m.turn); ok {
		job.Turn = &v
	}
	if m.uid == "" {
		return
	}
	job.Turned = func(v draw.View) error {
		_, err := s.book.Correct(s.ctx, m.uid, book.Change{Fields: records.Texts(records.Machine{Turn: v.String()}), Why: "turned on the bench", At: time.Now()})
		return err
	}
}

// machine finds the machine on which a job is strung, by the UID of its record or by its name.
func (s *shop) machine(w *work, uid string) (m onMachine, err error) {
	var r book.Record
	switch {
	case uid != "":
		r, err = s.book.Record(s.ctx, uid)
	case w.job.Machine.Name != "":
		var found bool
		r, found, err = s.called(records.KindMachine, w.job.Machine.Name)
		if err != nil || !found {
			return m, err
		}
	default:
		return m, nil
	}
	if err != nil {
		return m, err
	}
	of := records.As[records.Machine](r.Fields)
	m.uid, m.turn = r.UID, of.Turn
	// A job file that has the machine corrected by its own gauge says itself what to set.
	if n := of.Offset.Newtons(); n != 0 && !w.job.Machine.Corrected {
		m.offset = measure.Newtons(n).To(w.job.Mains.Unit())
		m.words = append(m.words, fmt.Sprintf("on %s set %s for the mains and %s for the crosses: its offset is %s, accepted by %s; %s and %s are what was ordered",
			clean(r.Label()), w.job.Mains.Plus(m.offset).Short(), w.job.Crosses.Plus(m.offset).Short(), of.Offset,
			cmp.Or(clean(of.Accepted), "nobody named"), w.job.Mains, w.job.Crosses))
	}
	return m, nil
}

// called is the record of a kind with just this name; of several the newest.
func (s *shop) called(kind records.Name, name string) (book.Record, bool, error) {
	list, err := s.book.Find(s.ctx, kind, name, 0)
	if err != nil {
		return book.Record{}, false, err
	}
	for _, r := range list {
		if records.Fold(r.Label()) == records.Fold(name) {
			return r, true, nil
		}
	}
	return book.Record{}, false, nil
}

// link fills in from which stock the strings are cut, where the job names a string that is in stock and nothing else was
// said. Of several the one that was bought first and still has enough is taken.
func (s *shop) link(w *work, j *records.Job) error {
	if j.Mains != "" {
		return nil
	}
	for _, p := range []struct {
		from   *string
		string sequence.String
	}{{&j.Mains, w.job.StringMains}, {&j.Crosses, w.job.StringCrosses}} {
		if p.string.Name == "" {
			continue
		}
		shelves, err := s.book.Shelves(s.ctx, p.string.Name)
		if err != nil {
			return err
		}
		for _, shelf := range shelves { // the newest first: the last that fits was bought first
			if records.Fold(shelf.Stock.Name) == records.Fold(p.string.Name) && fits(shelf.Stock, p.string) && shelf.Left() > 0 {
				*p.from = shelf.UID
			}
		}
	}
	return nil
}

// fits says whether a stock is of the gauge that a job asks for, as far as both tell.
func fits(stock records.Stock, want sequence.String) bool {
	have := stock.Diameter.MM()
	return have == 0 || want.DiameterMM == 0 || have == want.DiameterMM
}

// supplies are what each piece of string is cut from, and what is short.
func (s *shop) supplies(list []grid.Piece, j records.Job) (map[plan.Piece]supply, []string, error) {
	from := map[plan.Piece]supply{}
	pieces := map[string][]float64{}
	for _, p := range list {
		stock := j.Mains
		if p.Name == string(plan.PieceCrosses) {
			stock = cmp.Or(j.Crosses, stock)
		}
		if stock == "" {
			continue
		}
		from[plan.Piece(p.Name)] = supply{stock, p.CutMM}
		pieces[stock] = append(pieces[stock], p.CutMM)
	}
	var words []string
	for stock, lengths := range pieces {
		shelf, err := s.book.Shelf(s.ctx, stock)
		if err != nil {
			return nil, nil, err
		}
		if n := shelf.Before(lengths...); n.Short {
			words = append(words, fmt.Sprintf("before you cut: %s has %s left and this job takes %s; take another, or count it again (pullcard book cut add)",
				clean(shelf.Label()), shortMetres(n.LeftMM), shortMetres(n.WantMM)))
		}
	}
	return from, words, nil
}

// toCut are the pieces of string to cut; none where the hoop is not known, which the numbers say themselves.
func toCut(w *work) []grid.Piece {
	l, err := w.numbers().Lengths()
	if err != nil {
		return nil
	}
	return l.Pieces
}

// cuts are the lengths of pieces, as the bench tells them before the string goes in.
func cuts(list []grid.Piece) map[plan.Piece]string {
	out := map[plan.Piece]string{}
	for _, p := range list {
		text := fmt.Sprintf("the %s: %.0f mm", p.Name, p.CutMM)
		switch {
		case p.Name == string(plan.PieceWhole):
			text = fmt.Sprintf("one piece: %.0f mm, the short side %.0f mm of it", p.CutMM, p.ShortMM)
		case p.Name == string(plan.PieceCrosses) && p.ShortMM > 0:
			text += fmt.Sprintf(", %.0f mm of it for the short end", p.ShortMM)
		}
		out[plan.Piece(p.Name)] = text
	}
	return out
}

// others are the other rackets in work, each with where it stands, so that none is forgotten.
func (s *shop) others(but int64) ([]string, error) {
	open, err := s.book.Jobs(s.ctx, book.Filter{State: progress.Open})
	if err != nil {
		return nil, err
	}
	var names []string
	for _, e := range open {
		if e.ID != but {
			names = append(names, fmt.Sprintf("%s %d/%d", title(e.Player, e.Racket, e.Frame), e.Step, e.Steps))
		}
	}
	return names, nil
}
