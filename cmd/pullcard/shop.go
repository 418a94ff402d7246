package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"time"

	"github.com/adrg/xdg"
	"github.com/spf13/cobra"

	"pullcard/sequence/book"
	progress "pullcard/sequence/run"
	"pullcard/tui/bench"
	"pullcard/tui/rack"
)

// bookPath is where the record book lies: named by --book, by PULLCARD_BOOK, or in the user's data folder.
func bookPath(c *cobra.Command) string {
	if path, err := c.Flags().GetString("book"); err == nil && path != "" {
		return path
	}
	if path := os.Getenv("PULLCARD_BOOK"); path != "" {
		return path
	}
	return filepath.Join(xdg.DataHome, "pullcard", "book.db")
}

// shop is the house as the screens see it: the book and the job files that were named.
type shop struct {
	ctx   context.Context
	book  *book.Book
	files []string
	shown []func() (bench.Job, error) // one for each item
}

func openShop(ctx context.Context, path string) (*shop, error) {
	b, err := book.Open(ctx, path)
	if err != nil {
		return nil, err
	}
	return &shop{ctx: ctx, book: b}, nil
}

// Items lists the jobs in progress, the newest first, then the files, then the demo.
func (s *shop) Items() ([]rack.Item, error) {
	s.shown = nil
	var items []rack.Item
	open, err := s.book.Jobs(s.ctx, book.Filter{State: progress.Open})
	if err != nil {
		return nil, err
	}
	inProgress := map[string]bool{}
	for i := len(open) - 1; i >= 0; i-- {
		e := open[i]
		inProgress[e.File+"\x00"+e.Fingerprint] = true
		items = append(items, rack.Item{
			Group: "in progress", Title: title(e.Player, e.Racket, e.Frame), Detail: e.Frame + " · " + e.Technique,
			Mark: "left " + ago(time.Since(e.Last)),
		})
		s.shown = append(s.shown, func() (bench.Job, error) { return s.resume(e.ID) })
	}
	for _, path := range s.files {
		items = s.add(items, "job files", path, inProgress, func() (*work, error) { return loadWork(path) })
	}
	return s.add(items, "demo, all of it invented", demoFile, inProgress, func() (*work, error) { return readWork(demoFile, []byte(demoJob)) }), nil
}

// add lists a job that is not in progress.
func (s *shop) add(items []rack.Item, group, path string, inProgress map[string]bool, load func() (*work, error)) []rack.Item {
	w, err := load()
	if err != nil {
		s.shown = append(s.shown, func() (bench.Job, error) { return bench.Job{}, err })
		return append(items, rack.Item{Group: group, Title: clean(path), Trouble: err.Error()})
	}
	if inProgress[key(path)+"\x00"+w.plan.Plan] {
		return items
	}
	s.shown = append(s.shown, func() (bench.Job, error) { return s.file(path, w) })
	t := w.plan.Terms
	return append(items, rack.Item{
		Group: group, Title: title(w.job.Player, w.job.Racket, w.plan.Frame),
		Detail: clean(fmt.Sprintf("%s · %s · mains %s, crosses %s", w.plan.Frame, w.plan.Technique, t.PullMains.Ordered, t.PullCrosses.Ordered)),
	})
}

// Open makes an item ready for the bench.
func (s *shop) Open(i int) (bench.Job, error) { return s.shown[i]() }

// file is the job of a file: the one in progress that was made from it, or a new one.
func (s *shop) file(path string, w *work) (bench.Job, error) {
	open, err := s.book.Jobs(s.ctx, book.Filter{State: progress.Open})
	if err != nil {
		return bench.Job{}, err
	}
	for i := len(open) - 1; i >= 0; i-- {
		if open[i].File == key(path) && open[i].Fingerprint == w.plan.Plan {
			return s.resume(open[i].ID)
		}
	}
	draft := book.Draft{Player: w.job.Player, Racket: w.job.Racket, File: key(path), Source: w.source, Plan: w.plan}
	return bench.Job{
		Player: w.job.Player, Racket: w.job.Racket, Plan: w.plan, Warnings: allWarnings(w),
		Recorder: &recorder{ctx: s.ctx, book: s.book, draft: draft},
	}, nil
}

// resume takes up a job of the book. Its plan is the one that was made then, and is proved again.
func (s *shop) resume(id int64) (bench.Job, error) {
	j, err := s.book.Job(s.ctx, id)
	if err != nil {
		return bench.Job{}, err
	}
	if err := prove(j.Plan); err != nil {
		return bench.Job{}, err
	}
	return bench.Job{
		Player: j.Player, Racket: j.Racket, Plan: j.Plan, Events: j.Events, Warnings: j.Plan.Warnings,
		Recorder: &recorder{ctx: s.ctx, book: s.book, id: id, known: len(j.Events)},
	}, nil
}

// recorder writes a job's events into the book. A new job is written with its first event, so that looking at a job
// leaves nothing behind.
type recorder struct {
	ctx   context.Context
	book  *book.Book
	mu    sync.Mutex
	draft book.Draft
	id    int64 // 0 until the job is in the book
	known int
}

// Record returns when the event is on the disk.
func (r *recorder) Record(e progress.Event) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.id == 0 {
		r.draft.At = e.At
		id, err := r.book.NewJob(r.ctx, r.draft)
		if err != nil {
			return err
		}
		r.id = id
	}
	if err := r.book.Append(r.ctx, r.id, r.known, e); err != nil {
		return err
	}
	r.known++
	return nil
}

// key is how the book names a job file: by its whole path.
func key(path string) string {
	if path == demoFile {
		return path
	}
	if abs, err := filepath.Abs(path); err == nil {
		return abs
	}
	return path
}

func title(player, racket, frame string) string {
	switch {
	case player != "" && racket != "":
		return clean(player + " · " + racket)
	case player+racket != "":
		return clean(player + racket)
	}
	return clean(frame)
}

func ago(d time.Duration) string {
	switch {
	case d < time.Minute:
		return "just now"
	case d < 2*time.Hour:
		return fmt.Sprintf("%d min ago", int(d.Minutes()))
	case d < 48*time.Hour:
		return fmt.Sprintf("%d h ago", int(d.Hours()))
	}
	return fmt.Sprintf("%d days ago", int(d.Hours()/24))
}

// demoFile is the name of the job that is built in.
const demoFile = "demo"

// demoJob is invented, player and all.
const demoJob = `player    = "Demo player (invented)"
racket    = "first racket"
frame     = "club-sixteen"
technique = "two-piece-skip"

[tension]
mains   = "24 kg"
crosses = "23 kg"
`
