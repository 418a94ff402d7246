package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
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
	return filepath.Join(dataFolder(), "book.db")
}

// dataFolder is where this program keeps what has no other place.
func dataFolder() string { return filepath.Join(xdg.DataHome, "pullcard") }

// shop is the house as the screens see it: the book and the job files that were named.
type shop struct {
	ctx  context.Context
	book *book.Book
	// stringer is who stands at the bench, empty where nobody said.
	stringer string
	files    []string
	edits    string                      // the layout file that is edited, empty for new ones
	shown    []func() (bench.Job, error) // one for each item
}

func openShop(ctx context.Context, path string) (*shop, error) {
	b, err := book.Open(ctx, path)
	return inShop(ctx, b, err)
}

// openOldShop is openShop for a book that is there.
func openOldShop(ctx context.Context, path string) (*shop, error) {
	b, err := book.OpenOld(ctx, path)
	return inShop(ctx, b, err)
}

func inShop(ctx context.Context, b *book.Book, err error) (*shop, error) {
	if err != nil {
		return nil, err
	}
	b.RescueTo(dataFolder(), time.Now)
	return &shop{ctx: ctx, book: b}, nil
}

// Items lists the jobs in progress and the queue in the order to string them, then the files, then the demo.
func (s *shop) Items() ([]rack.Item, error) {
	s.shown = nil
	items, inProgress, err := s.queued(time.Now())
	if err != nil {
		return nil, err
	}
	for _, path := range s.files {
		items = s.list(items, "job files", path, inProgress, func() (*work, error) { return loadWork(path) })
	}
	known := len(items)
	items = s.list(items, "demo, all of it invented", demoFile, inProgress, func() (*work, error) { return readWork(demoFile, []byte(demoJob)) })
	strung, err := s.book.Finished(s.ctx, "", 1)
	if err == nil && known == 0 && len(strung) == 0 && len(items) > 0 {
		items[0].Mark = "new here? string this one, it says what the screen shows"
	}
	if text := s.elsewhere(); text != "" && err == nil {
		err = errors.New(text)
	}
	return items, err
}

// elsewhere says where the work is kept since the book went away, empty while it is in the book.
func (s *shop) elsewhere() string {
	if r := s.book.Rescued(); r != nil {
		return r.String()
	}
	return ""
}

// list lists a job that is not in progress.
func (s *shop) list(items []rack.Item, group, path string, inProgress map[string]bool, load func() (*work, error)) []rack.Item {
	w, err := load()
	if err != nil {
		s.shown = append(s.shown, func() (bench.Job, error) { return bench.Job{}, err })
		return append(items, rack.Item{Group: group, Title: clean(path), Trouble: err.Error()})
	}
	if inProgress[key(path)+"\x00"+w.plan.Plan] {
		return items
	}
	s.shown = append(s.shown, func() (bench.Job, error) { return s.file(path, w) })
	return append(items, rack.Item{
		Group: group, Title: title(w.job.Player, w.job.Racket, w.plan.Frame),
		Detail: clean(fmt.Sprintf("%s · %s · %s", w.plan.Frame, w.plan.Technique, w.plan.Terms.Tensions())),
	})
}

// Open makes an item ready for the bench.
func (s *shop) Open(i int) (bench.Job, error) { return s.shown[i]() }

// file is the job of a file: the newest in progress that was made from it, or a new one.
func (s *shop) file(path string, w *work) (bench.Job, error) {
	open, err := s.book.Jobs(s.ctx, book.Filter{State: progress.Open})
	if err != nil {
		return bench.Job{}, err
	}
	for _, e := range open {
		if e.File == key(path) && e.Fingerprint == w.plan.Plan {
			return s.resume(e.ID)
		}
	}
	return s.fresh(path, w, nil)
}

// key is how the book names a job file: by its whole path. A job that was composed from the book or piped in
// has none.
func key(path string) string {
	switch path {
	case demoFile, "":
		return path
	case dash:
		return ""
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

// SaveFrame writes a layout into the folder where the program was started. Only the file that is edited is replaced.
func (s *shop) SaveFrame(name string, text []byte) (string, error) {
	if s.edits != "" {
		return s.edits, replaceFile(s.edits, text)
	}
	path := name + ".toml"
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return "", fmt.Errorf("%s is there already; give the frame another name", path)
	}
	if err != nil {
		return "", fmt.Errorf("keep the layout: %w", err)
	}
	_, err = f.Write(text)
	if err = errors.Join(err, f.Close()); err != nil {
		return "", fmt.Errorf("keep the layout: %w", errors.Join(err, os.Remove(path)))
	}
	return path, nil
}

// replaceFile writes a file beside the old one and puts it in its place, so that no half of it is ever there.
func replaceFile(path string, text []byte) error {
	f, err := os.CreateTemp(filepath.Dir(path), ".pullcard-*")
	if err != nil {
		return fmt.Errorf("keep the layout: %w", err)
	}
	_, err = f.Write(text)
	err = errors.Join(err, f.Sync(), f.Chmod(0o644), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		return fmt.Errorf("keep the layout: %w", errors.Join(err, os.Remove(f.Name())))
	}
	return nil
}
