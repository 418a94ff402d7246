package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/adrg/xdg"
	"github.com/spf13/cobra"

	"pullcard/cmd/internal/disk"
	"pullcard/patterns/assume"
	"pullcard/patterns/harmless"
	"pullcard/sequence/act"
	"pullcard/sequence/shop"
	"pullcard/tui/settings"
	"pullcard/tui/theme"
)

// settingsPath is where the settings lie: named by PULLCARD_SETTINGS, or in the user's configuration folder.
func settingsPath() (path string, named bool) {
	if path := os.Getenv("PULLCARD_SETTINGS"); path != "" {
		return path, true
	}
	return filepath.Join(xdg.ConfigHome, "pullcard", "settings.toml"), false
}

// houseSettings are those of the file, or the usual ones where there is none.
func houseSettings() (settings.Settings, error) {
	path, named := settingsPath()
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) && !named {
		return settings.Usual(), nil
	}
	data, err := disk.Files().File(path)
	if err != nil {
		return settings.Usual(), err
	}
	return settings.Read(path, data, theme.Names())
}

// houseStrain is what the settings take for granted of hoops and strings; settings that are wrong were told when the program began.
func houseStrain() assume.Table {
	set, err := houseSettings()
	if err != nil {
		return assume.Table{}
	}
	return set.Strain
}

func settingsCommand() *cobra.Command {
	var write, words bool
	c := &cobra.Command{
		Use:   "settings",
		Short: "Show the settings of the bench, or write a file to change",
		Long: `Shows where the settings of the bench lie and what they are: the time of a held
key, the looks, how the racket lies on the machine, keys of a foot pedal. With
--write a file with comments and the usual values is put there, unless there is
one.`,
		Args: cobra.NoArgs,
		RunE: failing(func(c *cobra.Command, args []string) error {
			path, _ := settingsPath()
			if words {
				_, err := c.OutOrStdout().Write(act.SpokenFile())
				return err
			}
			if write {
				return makeSettings(c, path)
			}
			data, err := disk.Read(path)
			switch {
			case errors.Is(err, fs.ErrNotExist):
				fmt.Fprintf(c.OutOrStdout(), "# %s is not there, so the usual values hold; pullcard settings --write makes it\n\n%s", clean(path), settings.Example)
				return nil
			case err != nil:
				return shop.ReadError(path, err)
			}
			set, err := settings.Read(path, data, theme.Names())
			if err == nil {
				_, err = set.Words(disk.Files().File)
			}
			if err != nil {
				return err
			}
			fmt.Fprintf(c.OutOrStdout(), "# %s\n\n%s", clean(path), harmless.Page(string(data)))
			return nil
		}),
	}
	c.Flags().BoolVar(&words, "voice-words", false, "print the words of the voice, as a file to put into another language")
	c.Flags().BoolVar(&write, "write", false, "write a file with comments and the usual values")
	return c
}

func makeSettings(c *cobra.Command, path string) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return fmt.Errorf("write the settings: %w", err)
	}
	err := disk.Create(path, []byte(settings.Example), 0o644)
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s is there already and stays as it is; change it with an editor", path)
	}
	if err != nil {
		return fmt.Errorf("write the settings: %w", err)
	}
	say(c, "%s is written; change it with an editor", path)
	return nil
}
