package shop

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
)

// BenchmarkPage opens the page of a player with forty strung jobs, each with a reading and a verdict.
func BenchmarkPage(b *testing.B) {
	ctx := context.Background()
	s := newShop(b)
	put := func(kind records.Name, fields records.Fields) string {
		r, err := s.Book.Add(ctx, kind, fields, time.Now())
		require.NoError(b, err)
		return r.UID
	}
	player := put(records.KindPlayer, records.Texts(records.Player{Name: "Ada (invented)"}))
	var rackets []string
	for i := range 5 {
		rackets = append(rackets, put(records.KindRacket, records.Texts(records.Racket{Player: player, Mark: fmt.Sprint("blue ", i)})))
	}
	w, err := s.Demo()
	require.NoError(b, err)
	for i := range 40 {
		id, err := s.Book.NewJob(ctx, book.Draft{Job: records.Job{Player: player, Racket: rackets[i%5]}, Source: w.Source, Plan: w.Plan, At: time.Now()})
		require.NoError(b, err)
		j, err := s.Book.Job(ctx, id)
		require.NoError(b, err)
		put(records.KindReading, records.Texts(records.Reading{Job: j.UID, Value: "600 Hz", Expected: "700 Hz"}))
		put(records.KindVerdict, records.Texts(records.Verdict{Job: j.UID, Answer: "right"}))
	}
	for name, uid := range map[string]string{"player": player, "racket": rackets[0]} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := s.Page(ctx, uid); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
