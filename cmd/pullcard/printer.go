package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os/exec"
	"strings"
	"time"
)

// printing is how long a print command may take; a printer's queue takes what it gets at once.
const printing = 20 * time.Second

// printOut hands a text to the print command of the settings.
func printOut(ctx context.Context, text string) error {
	set, err := houseSettings()
	if err != nil {
		return err
	}
	if set.Print == "" {
		return errors.New(`nothing prints yet; name what does in the settings, as print = "lp -d label" (pullcard settings --write makes the file)`)
	}
	ctx, stop := context.WithTimeout(ctx, printing)
	defer stop()
	c := exec.CommandContext(ctx, "sh", "-c", set.Print)
	c.WaitDelay = time.Second
	c.Stdin = strings.NewReader(text)
	var complaint bytes.Buffer
	c.Stderr = &complaint
	if err := c.Run(); err != nil {
		words, _, _ := strings.Cut(strings.TrimSpace(complaint.String()), "\n")
		switch {
		case errors.Is(ctx.Err(), context.DeadlineExceeded):
			words = fmt.Sprintf("it has not ended within %s and was stopped", printing)
		case words == "":
			words = err.Error()
		}
		return fmt.Errorf("print with %q: %s; see the settings", set.Print, words)
	}
	return nil
}
