package shop

import (
	"context"
	"time"

	"pullcard/sequence/records"
	"pullcard/sequence/report"
)

// TellDay tells a day.
func (s *Shop) TellDay(ctx context.Context, at time.Time) ([]report.Section, error) {
	d, err := s.Day(ctx, at)
	return []report.Section{d.Tell()}, err
}

// TellDue tells which rackets are due by a day.
func (s *Shop) TellDue(ctx context.Context, until time.Time) ([]report.Section, error) {
	list, err := s.Due(ctx, until)
	told := TellDue(list)
	told.Head = "by " + day(until)
	return []report.Section{told}, err
}

// TellStock tells what is left of the strings, and what to order.
func (s *Shop) TellStock(ctx context.Context) ([]report.Section, error) {
	list, err := s.Find(ctx, records.KindStock, "", "")
	if err != nil {
		return nil, err
	}
	orders, err := s.Orders(ctx)
	var left report.Section
	for _, it := range list {
		left.Say("%s · %s", it.Label(), it.Mark)
	}
	if len(list) == 0 {
		left.Say("nothing is in stock yet; b opens the book, where a string is added")
	}
	lasts := TellOrders(orders)
	lasts.Head = "how long it lasts"
	return []report.Section{left, lasts}, err
}
