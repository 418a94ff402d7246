package book

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"pullcard/sequence/records"
)

// MergePlayers says that two players are one, as happens when two benches had each its own record of somebody. What belongs to
// the other belongs to the player then, with a correction beside it, and the other is left away. It returns how many
// records changed hands.
func (b *Book) MergePlayers(ctx context.Context, player, other string, at time.Time) (n int, err error) {
	err = b.write(ctx, func(tx *sql.Tx) error {
		n, err = joinPlayers(ctx, tx, player, other, at)
		return err
	})
	if err != nil {
		return 0, b.problem("join two players", err)
	}
	return n, nil
}

func joinPlayers(ctx context.Context, tx *sql.Tx, player, other string, at time.Time) (int, error) {
	if player == other {
		return 0, errors.New("that is one player already")
	}
	for _, uid := range []string{player, other} {
		if p, err := person(ctx, tx, uid); err != nil {
			return 0, err
		} else if p.State == Forgotten {
			return 0, fmt.Errorf("player %d was forgotten", p.ID)
		}
	}
	list, err := readRecords(ctx, tx, selectRecords+" WHERE owner = ? AND owner <> ''", other)
	if err != nil {
		return 0, err
	}
	for _, r := range list {
		k, _ := records.Find(r.Kind)
		if _, err := correct(ctx, tx, r.UID, Change{Fields: records.Fields{k.Owner: player}, Why: "the same player", At: at}); err != nil {
			return 0, err
		}
	}
	gone, err := record(ctx, tx, other)
	if err != nil {
		return 0, err
	}
	return len(list), counts(ctx, tx, gone, Removed)
}
