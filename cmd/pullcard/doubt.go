package main

import (
	"errors"

	"github.com/spf13/cobra"

	"pullcard/sequence/records"
	"pullcard/sequence/shop"
)

// sureFlags let a command be told that what looks wrong is so, and why. The reason goes into the record.
func sureFlags(c *cobra.Command) (because func() string) {
	why := c.Flags().String("because", "", "why it is so all the same, where pullcard doubts it; kept and printed")
	yes := c.Flags().Bool("yes", false, "yes, it is so, where that is enough")
	return func() string {
		if *why == "" && *yes {
			return records.ItIsSo
		}
		return *why
	}
}

// asking says of what is doubted how to say that it is so.
func asking(err error) error {
	doubts, ok := shop.Doubted(err)
	if !ok {
		return err
	}
	lines := make([]error, len(doubts))
	for i, d := range doubts {
		answer := "; if it is, say --yes"
		if d.Reason {
			answer = `; if it is meant so, say why: --because "…"`
		}
		lines[i] = errors.New(d.Error() + answer)
	}
	return errors.Join(lines...)
}
