package shop

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"pullcard/patterns/grid"
	"pullcard/patterns/measure"
	"pullcard/sequence"
	"pullcard/sequence/act"
	"pullcard/sequence/book"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// Bench is a job ready for the bench.
type Bench struct {
	Player, Racket string
	Plan           *plan.Plan
	Events         []progress.Event // what happened so far
	Warnings       []string         // what to know before beginning
	Others         []string         // the other rackets in work, each with where it stands
	Recorder       *Recorder
	// Work is what the job's files say; nil when they changed or went.
	Work *Work
	// Turn is how the frame lies on the machine, empty where that is not known. Machine is the UID of its record, empty where
	// there is none.
	Turn, Machine string
	// Offset is what is added on this machine to what is ordered, the zero tension for nothing.
	Offset measure.Tension
	// Cuts are the lengths to cut of each piece of string, where they are known.
	Cuts map[plan.Piece]act.Length
	// Lot says that it is one of several that are strung alike.
	Lot bool
	// Demo says that it is the job that is built in.
	Demo bool
}

// Open makes a job of the book ready for the bench, by the UID of its record.
func (s *Shop) Open(ctx context.Context, uid string) (Bench, error) {
	c, err := s.Book.Card(ctx, uid)
	if err != nil {
		return Bench{}, err
	}
	if c.Entry != nil {
		return s.resume(ctx, c.Entry.ID)
	}
	j := records.As[records.Job](c.Fields)
	w, err := s.Work(j.File, []byte(j.Text))
	if err != nil {
		return Bench{}, err
	}
	return s.fresh(ctx, j.File, w, &c.Record)
}

// OpenFile makes the job of a file ready for the bench: the newest in progress that was made from it, or a new one.
func (s *Shop) OpenFile(ctx context.Context, path string, w *Work) (Bench, error) {
	open, err := s.Book.Jobs(ctx, book.Filter{State: progress.Open})
	if err != nil {
		return Bench{}, err
	}
	for _, e := range open {
		if s.made(path, w, &e) {
			return s.resume(ctx, e.ID)
		}
	}
	return s.fresh(ctx, path, w, nil)
}

// made says whether a job of the book was made from a file as it is now.
func (f Files) made(path string, w *Work, e *book.Entry) bool {
	return e.File == f.key(path) && e.Fingerprint == w.Plan.Plan
}

// fresh makes a job ready for the bench that has not been begun. card is its record where it waits in the book.
func (s *Shop) fresh(ctx context.Context, path string, w *Work, card *book.Record) (Bench, error) {
	if _, err := s.me(ctx); err != nil {
		return Bench{}, err
	}
	d := book.Draft{
		Player: w.Job.Player, Racket: w.Job.Racket, Machine: w.Job.Machine.Name, Stringer: s.Stringer,
		File: s.key(path), Source: w.Source, Plan: w.Plan, Alone: true, Lesson: path == DemoFile,
	}
	if card != nil {
		d.UID, d.Job = card.UID, records.As[records.Job](card.Fields)
		names, err := s.names(ctx, d.Job.Player, d.Job.Racket)
		if err != nil {
			return Bench{}, err
		}
		d.Player, d.Racket = cmp.Or(names[d.Job.Player], d.Player), cmp.Or(names[d.Job.Racket], d.Racket)
	}
	if err := s.link(ctx, w, &d.Job); err != nil {
		return Bench{}, err
	}
	b := Bench{Player: d.Player, Racket: d.Racket, Plan: w.Plan, Lot: d.Job.Lot != "", Demo: path == DemoFile}
	m, err := s.equip(ctx, &b, w, d.UID, d.Job)
	if err != nil {
		return Bench{}, err
	}
	if !m.offset.IsZero() {
		d.Job.Set = records.Bed(w.Job.Mains.Plus(m.offset).String(), w.Job.Crosses.Plus(m.offset).String())
	}
	other, err := s.otherwise(ctx, w, d.Job, m.offset)
	if err != nil {
		return Bench{}, err
	}
	b.Warnings = append(b.Warnings, other...)
	b.Recorder = &Recorder{book: s.Book, draft: d, state: progress.Start(w.Plan), from: m.from}
	b.Others, err = s.others(ctx, 0)
	return b, err
}

// resume takes up a job of the book. Its plan is the one that was made then; what is still to come of it is proved again.
func (s *Shop) resume(ctx context.Context, id int64) (Bench, error) {
	j, err := s.Book.Job(ctx, id)
	if err != nil {
		return Bench{}, err
	}
	state, more, err := takenUp(j.Plan, j.Events, s.Now())
	if err != nil {
		return Bench{}, err
	}
	for _, e := range more {
		if err := s.Book.Append(ctx, id, len(j.Events), e); err != nil {
			return Bench{}, err
		}
		j.Events = append(j.Events, e)
	}
	card, err := s.Book.Record(ctx, j.UID)
	if err != nil {
		return Bench{}, err
	}
	kept := records.As[records.Job](card.Fields)
	b := Bench{Player: j.Player, Racket: j.Racket, Plan: j.Plan, Events: j.Events, Warnings: j.Plan.Warnings, Lot: kept.Lot != "", Demo: j.File == DemoFile}
	b.Recorder = &Recorder{book: s.Book, id: id, uid: j.UID, known: j.Events, state: state, parked: kept.Parked != "",
		draft: j.Draft()}
	if b.Others, err = s.others(ctx, id); err != nil {
		return Bench{}, err
	}
	w, err := s.Work(j.File, j.Source)
	if err != nil || w.Plan.Plan != j.Fingerprint {
		return b, nil // the files changed or went; what they say is only an extra
	}
	m, err := s.equip(ctx, &b, w, j.UID, kept)
	b.Recorder.from = m.from
	return b, err
}

// equip adds to a job for the bench what its files, its machine and the stock say.
func (s *Shop) equip(ctx context.Context, b *Bench, w *Work, uid string, j records.Job) (m onMachine, err error) {
	if m, err = s.machine(ctx, w, j.Machine); err != nil {
		return m, err
	}
	pieces := toCut(w)
	var short []string
	if m.from, short, err = s.supplies(ctx, pieces, uid, w.Job, j); err != nil {
		return m, err
	}
	b.Work, b.Turn, b.Machine, b.Offset, b.Cuts = w, m.turn, m.uid, m.offset, cuts(pieces)
	b.Warnings = slices.Concat(w.Warnings(), short, m.words)
	if j.Came != "" {
		b.Warnings = append(b.Warnings, "it came in with: "+j.Came)
	}
	return m, nil
}

// onMachine is what the book says of the machine of a job.
type onMachine struct {
	uid    string          // its record's, empty where there is none
	turn   string          // how the frame lies on it, empty where that was not said
	offset measure.Tension // the zero one for none
	words  []string
	from   map[plan.Piece]supply // what the pieces of string are cut from
}

// Turned keeps how the frame lies on a machine, by the UID of its record.
func (s *Shop) Turned(ctx context.Context, machine, turn string) error {
	_, err := s.Book.Correct(ctx, machine, book.Change{Fields: records.Texts(records.Machine{Turn: turn}), Why: "turned on the bench", At: s.Now()})
	return err
}

// machine finds the machine on which a job is strung, by the UID of its record or by its name.
func (s *Shop) machine(ctx context.Context, w *Work, uid string) (m onMachine, err error) {
	var r book.Record
	switch {
	case uid != "":
		r, err = s.Book.Record(ctx, uid)
	case w.Job.Machine.Name != "":
		var found bool
		r, found, err = s.called(ctx, records.KindMachine, w.Job.Machine.Name)
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
	if n := of.Offset.Newtons(); n != 0 && !w.Job.Machine.Corrected {
		m.offset = measure.Newtons(n).To(w.Job.Mains.Unit())
		m.words = append(m.words, fmt.Sprintf("on %s set %s for the mains and %s for the crosses: its offset is %s, accepted by %s; %s and %s are what was ordered",
			r.Label(), w.Job.Mains.Plus(m.offset).Short(), w.Job.Crosses.Plus(m.offset).Short(), of.Offset,
			cmp.Or(of.Accepted, "nobody named"), w.Job.Mains, w.Job.Crosses))
	}
	return m, nil
}

// called is the record of a kind with just this name; of several the newest.
func (s *Shop) called(ctx context.Context, kind records.Name, name string) (book.Record, bool, error) {
	list, err := s.Book.Find(ctx, kind, name, 0)
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
func (s *Shop) link(ctx context.Context, w *Work, j *records.Job) error {
	said := j.Mains != ""
	for _, p := range []struct {
		from   *string
		string sequence.String
	}{{&j.Mains, w.Job.StringMains}, {&j.Crosses, w.Job.StringCrosses}} {
		if p.string.Name == "" || *p.from != "" || said && p.string.Name == w.Job.StringMains.Name {
			continue
		}
		shelves, err := s.Book.Shelves(ctx, p.string.Name)
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

// stockOf is what a piece of a job is cut from, by the UID of its stock, and what the string is called that is asked for; empty where nobody said.
// Crosses come from the mains' stock as long as they are the same string.
func stockOf(piece string, j records.Job, mains, crosses string) (stock, asked string) {
	switch {
	case piece != string(plan.PieceCrosses):
		return j.Mains, mains
	case j.Crosses == "" && crosses == mains:
		return j.Mains, crosses
	}
	return j.Crosses, crosses
}

// notInStock says of a string that it is not there.
func notInStock(name string) string { return name + " is not in stock" }

// supplies are what each piece of string of a job is cut from, and what is short. What was cut for it already is not cut again.
func (s *Shop) supplies(ctx context.Context, list []grid.Piece, uid string, says *sequence.Job, j records.Job) (map[plan.Piece]supply, []string, error) {
	kept, err := s.Book.Find(ctx, records.KindStock, "", 1)
	if err != nil {
		return nil, nil, err
	}
	from := map[plan.Piece]supply{}
	pieces := map[string][]float64{}
	var words []string
	for _, p := range list {
		stock, asked := stockOf(p.Name, j, says.StringMains.Name, says.StringCrosses.Name)
		if stock == "" {
			if no := "before you cut: " + notInStock(asked); asked != "" && len(kept) > 0 && !slices.Contains(words, no) {
				words = append(words, no)
			}
			continue
		}
		cut, byHand, err := s.cutFor(ctx, stock, uid, p.Name)
		if err != nil {
			return nil, nil, err
		}
		from[plan.Piece(p.Name)] = supply{stock, p.CutMM, byHand}
		if !cut {
			pieces[stock] = append(pieces[stock], p.CutMM)
		}
	}
	for stock, lengths := range pieces {
		shelf, err := s.Book.Shelf(ctx, stock)
		if err != nil {
			return nil, nil, err
		}
		if n := shelf.Before(lengths...); n.Short {
			words = append(words, fmt.Sprintf("before you cut: %s has %s left and this job takes %s; take another, or count it again (pullcard book stocktaking add)",
				shelf.Label(), Metres(n.LeftMM), Metres(n.WantMM)))
		}
	}
	return from, words, nil
}

// cutFor says whether a piece of a job was cut, and whether somebody entered that at the desk.
func (s *Shop) cutFor(ctx context.Context, stock, uid, piece string) (cut, byHand bool, err error) {
	if uid == "" {
		return false, false, nil
	}
	list, err := s.Book.Of(ctx, records.KindCut, stock)
	for _, r := range list {
		if c := records.As[records.Cut](r.Fields); c.Job == uid && c.Piece == piece {
			cut, byHand = true, byHand || !strings.HasPrefix(r.UID, benchCut(uid, piece))
		}
	}
	return cut, byHand, err
}

// toCut are the pieces of string to cut; none where the hoop is not known, which the numbers say themselves.
func toCut(w *Work) []grid.Piece {
	l, err := w.Lengths()
	if err != nil {
		return nil
	}
	return l.Pieces
}

// Cuts are the lengths to cut of a work's pieces, as hands are told them before the string goes in; none where the hoop is not known.
func Cuts(w *Work) map[plan.Piece]act.Length { return cuts(toCut(w)) }

// cuts are the lengths of pieces, as the bench tells them before the string goes in.
func cuts(list []grid.Piece) map[plan.Piece]act.Length {
	out := map[plan.Piece]act.Length{}
	for _, p := range list {
		l := act.Length{CutMM: p.CutMM, ShortMM: p.ShortMM}
		if p.Name == string(plan.PieceMains) {
			l.ShortMM = 0 // its middle lies in the middle, and both ends are drawn level
		}
		for _, t := range p.Terms {
			if t.Kind == grid.Reach {
				l.ReachMM = t.MM
			}
		}
		out[plan.Piece(p.Name)] = l
	}
	return out
}

// others are the other rackets in work here, each with where it stands, so that none is forgotten.
func (s *Shop) others(ctx context.Context, but int64) ([]string, error) {
	open, err := s.Book.Jobs(ctx, book.Filter{State: progress.Open})
	if err != nil {
		return nil, err
	}
	elsewhere, err := s.heldElsewhere(ctx)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, e := range open {
		if e.ID != but && elsewhere[book.Root(e.UID)] == "" {
			names = append(names, fmt.Sprintf("%s %d/%d", Title(e.Player, e.Racket, e.Frame), e.Step, e.Steps))
		}
	}
	return names, nil
}
