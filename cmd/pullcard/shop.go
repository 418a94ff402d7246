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

// openShop opens the shop with a book, which is made when there is none.
func openShop(ctx context.Context, path string) (*shop.Shop, error) {
	b, err := book.Open(ctx, path)
	return inShop(b, err)
}

// openOldShop is openShop for a book that is there.
func openOldShop(ctx context.Context, path string) (*shop.Shop, error) {
	b, err := book.OpenOld(ctx, path)
	return inShop(b, err)
}

func inShop(b *book.Book, err error) (*shop.Shop, error) {
	if err != nil {
		return nil, err
	}
	b.RescueTo(dataFolder(), clock)
	return &shop.Shop{Files: disk.Files(), Book: b, Now: clock, Gauge: trustedGauge}, nil
}

// trustedGauge is how far the settings trust the house's gauge.
func trustedGauge() (shop.GaugeTrust, error) {
	set, err := houseSettings()
	return shop.GaugeTrust{SDN: set.GaugeN, Within: time.Duration(set.GaugeDays) * 24 * time.Hour}, err
}

// clock is the only place where this command asks for the time.
func clock() time.Time { return time.Now() }

// loadAsked reads the job that a command was asked for.
func loadAsked(c *cobra.Command, path string) (*shop.Work, error) {
	data, err := readAsked(c, path)
	if err != nil {
		return nil, err
	}
	return disk.Files().Work(path, data)
}

// readAsked reads a file that a command was asked for.
func readAsked(c *cobra.Command, path string) ([]byte, error) {
	data, err := disk.ReadAsked(c.Context(), c.InOrStdin(), path)
	return data, shop.Unread(path, err)
}
