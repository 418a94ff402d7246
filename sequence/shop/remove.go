package shop

import (
	"context"

	"pullcard/sequence/records"
)

// References says what would lose its name if a record were removed, as "2 rackets, 5 jobs"; empty for nothing.
func (s *Shop) References(ctx context.Context, uid string) (string, error) {
	n, err := s.Book.CountReferences(ctx, uid)
	if err != nil {
		return "", err
	}
	r, err := s.Book.Record(ctx, uid)
	if err != nil {
		return "", err
	}
	if r.Kind == records.KindFrame || r.Kind == records.KindSheet { // which jobs name by their names
		if jobs, err := s.shelvedFor(ctx, r); err != nil {
			return "", err
		} else if jobs > 0 {
			n[records.KindJob] += jobs
		}
	}
	if len(n) == 0 {
		return "", nil
	}
	return records.Counted(n), nil
}

// Remove removes a record from every list; the book still has it. One on which others hang is removed when somebody is sure of it.
func (s *Shop) Remove(ctx context.Context, uid string, sure bool) error {
	if !sure {
		r, err := s.Book.Record(ctx, uid)
		if err != nil {
			return err
		}
		hangs, err := s.References(ctx, uid)
		if err != nil {
			return err
		}
		if hangs != "" {
			return Doubts{ask("", "%s %d (%s) is named by %s, which stay in the book; is it to be removed?", r.Kind, r.ID, r.Label(), hangs)}
		}
	}
	return s.Book.Remove(ctx, uid)
}
