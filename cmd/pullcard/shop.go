package main

import (
	"context"
	"os"
	"path/filepath"
	"time"

	"github.com/adrg/xdg"
	"github.com/spf13/cobra"

	"pullcard/cmd/internal/disk"
	"pullcard/sequence/book"
	"pullcard/sequence/records"
	"pullcard/sequence/shop"
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

// bookOpener opens a record book: book.Open makes one where there is none, book.OpenExisting does not.
type bookOpener func(context.Context, string) (*book.Book, error)

// openShop opens the shop with its book.
func openShop(ctx context.Context, path string, open bookOpener) (*shop.Shop, error) {
	b, err := open(ctx, path)
	if err != nil {
		return nil, err
	}
	b.RescueTo(dataFolder(), clock)
	return &shop.Shop{Files: disk.Files().Keeping(b), Book: b, Now: clock, House: housed}, nil
}

// housed is how the house works by its settings.
func housed() (shop.House, error) {
	set, err := houseSettings()
	return shop.House{Gauge: shop.GaugeTrust{SDN: set.GaugeN, Within: time.Duration(set.GaugeDays) * 24 * time.Hour}, Hours: set.Hours, Technique: set.Technique}, err
}

// clock is the only place where this command asks for the time.
func clock() time.Time { return time.Now() }

// loadAsked reads the job that a command was asked for.
func loadAsked(c *cobra.Command, path string) (*shop.Work, error) {
	data, err := readAsked(c, path)
	if err != nil {
		return nil, err
	}
	return filesOf(c).Work(path, data)
}

// filesOf are the files of a command that opens no book, with what the house of the book keeps, where there is one.
func filesOf(c *cobra.Command) shop.Files {
	f := disk.Files()
	f.Kept = func(kind records.Name) (out map[string][]byte, err error) {
		if !hasBook(c) {
			return nil, nil
		}
		err = inOldBook(c, func(s *shop.Shop) error {
			out, err = s.Kept(kind)
			return err
		})
		return out, err
	}
	return f
}

func hasBook(c *cobra.Command) bool {
	_, err := os.Stat(bookPath(c))
	return err == nil
}

// readAsked reads a file that a command was asked for.
func readAsked(c *cobra.Command, path string) ([]byte, error) {
	data, err := disk.ReadAsked(c.Context(), c.InOrStdin(), path)
	return data, shop.ReadError(path, err)
}
