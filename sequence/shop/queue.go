package shop

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	"pullcard/patterns/grid"
	"pullcard/sequence/book"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
	"pullcard/sequence/schedule"
)

// Waiting is a job that is not finished.
type Waiting struct {
	UID    string // of its record
	ID     int64
	Title  string
	Detail string        // frame, technique and tensions
	Entry  *book.Entry   // nil while it has not been begun
	Slot   schedule.Slot // when it will be ready
	Err    error         // why it cannot be strung
	Job    records.Job   // what the book says of it
	// Since says when it was begun or, while it waits, added, as "begun 13:05".
	Since string
	// Short says that its string runs short before it or with it, or that it is not in stock, empty where there is enough or the book has
	// no stock; ShortWord says so in few words.
	Short, ShortWord string

	// Undecided says that the verdicts on its lot suggest something on which nobody decided.
	Undecided bool

	// Gone says that who is to string it is away, and from when to when; empty where they are not.
	Gone string

	// Stringer and Machine are who will string it and on which machine, if all goes as usual; empty where there is nobody to name.
	Stringer, Machine string

	pieces []grid.Piece // to be cut for it, none where it has been begun
	left   float64      // the share of it that is still to be done
	steps  int          // of its plan

	mains, crosses string // what its strings are called, empty where nobody said it

	names map[string]string // of its stringer and machine and, while it waits, of its player and racket
}

// Queue is every job that is not finished in the order in which to string them, with who strings each and when it will be ready.
func (s *Shop) Queue(ctx context.Context) ([]Waiting, error) {
	f, err := s.floor(ctx)
	if err != nil {
		return nil, err
	}
	return s.queue(ctx, f)
}

func (s *Shop) queue(ctx context.Context, f floor) ([]Waiting, error) {
	list, err := s.inWork(ctx, f)
	if err != nil {
		return nil, err
	}
	if err := s.asKept(f.version); err != nil {
		return nil, err
	}
	cards, err := s.Book.Queue(ctx)
	if err != nil {
		return nil, err
	}
	var uids []string
	for _, w := range list {
		uids = append(uids, w.Job.Stringer, w.Job.Machine)
	}
	jobs := make([]records.Job, len(cards))
	for i, r := range cards {
		j := records.As[records.Job](r.Fields)
		jobs[i], uids = j, append(uids, j.Player, j.Racket, j.Stringer, j.Machine)
	}
	names, err := s.calls(ctx, f.version, slices.DeleteFunc(uids, func(uid string) bool { return f.names[uid] != "" }))
	if err != nil {
		return nil, err
	}
	maps.Copy(names, f.names)
	for i, r := range cards {
		list = append(list, s.waits(ctx, Item{Record: r, Names: names}, jobs[i]))
	}
	at, line := map[string]int{}, make([]schedule.Waiting, len(list))
	for i, w := range list {
		at[w.UID], line[i] = i, f.inLine(w)
	}
	slots, err := s.play(line, f.Floor)
	if err != nil {
		return nil, err
	}
	ordered := make([]Waiting, len(slots))
	for i, slot := range slots {
		w := list[at[slot.Key]]
		w.names = names
		w.Gone = f.gone(w.Job.Stringer, s.Now())
		w.Slot, w.Stringer, w.Machine = slot, f.names[slot.ByStringer], f.names[slot.OnMachine]
		ordered[i] = w
	}
	s.decisions(ctx, f.version, ordered)
	return ordered, s.runsShort(ctx, ordered)
}

// inWork lists the jobs that were begun, the newest first.
func (s *Shop) inWork(ctx context.Context, f floor) (list []Waiting, err error) {
	open, err := s.Book.InWork(ctx)
	if err != nil {
		return nil, err
	}
	stand, err := s.stand(ctx, open)
	if err != nil {
		return nil, err
	}
	for _, c := range open {
		e, b := c.Entry, stand[c.UID]
		w := Waiting{UID: c.UID, ID: c.ID, Entry: e, Title: Title(e.Player, e.Racket, e.Frame), Detail: e.Frame + " · " + e.Technique, Job: records.As[records.Job](c.Fields), Since: "begun " + clockTime(s.Now(), e.Made)}
		w.left, w.steps = f.paces[w.Job.Stringer].Left(b.plan, b.state), len(b.plan.Steps)
		list = append(list, w)
	}
	return list, nil
}

// stand is how jobs in work stand, by their UIDs.
func (s *Shop) stand(ctx context.Context, open []book.Card) (map[string]begunJob, error) {
	out, ids := s.stands(open)
	jobs, err := s.Book.Several(ctx, ids...)
	for _, j := range jobs {
		state, err := progress.Fold(j.Plan, j.Events)
		if err != nil {
			return nil, err
		}
		b := begunJob{j.Last, j.Step, j.Plan, state}
		s.stood(j.UID, b)
		out[j.UID] = b
	}
	return out, err
}

// waits is a job of the queue that was not begun.
func (s *Shop) waits(ctx context.Context, it Item, j records.Job) Waiting {
	out := Waiting{UID: it.UID, ID: it.ID, Job: j, Title: cardTitle(book.Card{Record: it.Record}, it.Names), left: 1, Since: "added " + clockTime(s.Now(), it.At)}
	w, err := s.drafted(j.File, j.Text) // its plan is proven when it is opened
	if err != nil {
		out.Err = err
		return out
	}
	if it.Names[j.Racket] == "" {
		out.Title = Title(it.Names[j.Player], w.Job.Racket, w.Plan.Frame)
	}
	out.Detail, out.pieces, out.steps = w.Detail(), w.pieces, len(w.Plan.Steps)
	out.mains, out.crosses = w.Job.StringMains.Name, w.Job.StringCrosses.Name
	if s.link(ctx, w.Work, &out.Job) != nil {
		out.pieces = nil // what it is cut from is not known
	}
	return out
}

// runsShort says of the first job for which each string does not last how much there is then, in the order of the queue, and of each whose
// string is not in stock that it is not.
func (s *Shop) runsShort(ctx context.Context, queue []Waiting) error {
	keeps, err := s.Book.Find(ctx, records.KindStock, "", 1)
	if err != nil || len(keeps) == 0 {
		return err
	}
	shelves := map[string]*book.Shelf{}
	told := map[string]bool{}
	for i, w := range queue {
		for _, p := range w.pieces {
			stock, asked := stockOf(p.Name, w.Job, w.mains, w.crosses)
			if stock == "" {
				queue[i].lacks(asked)
			}
			if stock == "" || told[stock] {
				continue
			}
			if shelves[stock] == nil {
				shelf, err := s.Book.Shelf(ctx, stock)
				if err != nil {
					return err
				}
				shelves[stock] = &shelf
			}
			shelf := shelves[stock]
			if n := shelf.Before(p.CutMM); n.Short {
				told[stock] = true
				queue[i].Short, queue[i].ShortWord = fmt.Sprintf("%s runs short: %s then, and the %s take %s", shelf.Label(), shelf.Shelf, p.Name, Metres(p.CutMM)), "string runs short"
			}
			shelf.Cuts = append(shelf.Cuts, records.StockChange{At: s.Now(), MM: p.CutMM, Use: true})
		}
	}
	return nil
}

// lacks says that a string that it asks for is not in stock.
func (w *Waiting) lacks(asked string) {
	switch {
	case w.Short != "":
	case asked == "":
		w.Short, w.ShortWord = "nobody has said from which string", "no string yet"
	default:
		w.Short, w.ShortWord = notInStock(asked), "string missing"
	}
}

// Who says who will string it and where, if all goes as usual.
func (w Waiting) Who() string { return strings.Join(compact([]string{w.Stringer, w.Machine}), ", ") }

// Detail says in a line how a racket is strung: frame, technique and tensions.
func (w *Work) Detail() string {
	return fmt.Sprintf("%s · %s · %s", w.Plan.Frame, w.Plan.Technique, w.Plan.Terms.Tensions())
}

// Park sets a racket in work aside, or takes it up again.
func (s *Shop) Park(ctx context.Context, uid string, parked bool) error {
	_, err := s.Book.Correct(ctx, uid, book.Change{Fields: parking(parked), At: s.Now()})
	return err
}
