package shop

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"

	"pullcard/patterns/library"
	"pullcard/sequence"
	"pullcard/sequence/records"
)

// sheetsOf is how many jobs are looked at for the sheets that the house strings by.
const sheetsOf = 500

// Sheets are the technique sheets that the house has beside one: the built-in ones, then those that it keeps and the files by which its newest jobs were to
// be strung, by name. The error, which comes with the rest, says of each file that it cannot be read.
func (s *Shop) Sheets(ctx context.Context, own *sequence.Technique) (out []*sequence.Technique, err error) {
	names := library.Techniques()
	if s.Book != nil {
		jobs, err := s.Book.Find(ctx, records.KindJob, "", sheetsOf)
		if err != nil {
			return nil, err
		}
		files := map[string]bool{}
		for _, r := range jobs {
			files[records.As[records.Job](r.Fields).Technique] = true
		}
		for _, name := range append(names, "") {
			delete(files, name)
		}
		kept, err := s.kept(techniques())
		if err != nil {
			return nil, err
		}
		for name := range kept {
			files[name] = true // whether a job names it or not
		}
		names = append(names, slices.Sorted(maps.Keys(files))...)
	}
	for _, name := range names {
		t, wrong := s.Technique(name)
		switch {
		case wrong != nil:
			err = errors.Join(err, fmt.Errorf("%s: %w", name, wrong))
		case t.Name != own.Name:
			out = append(out, t)
		}
	}
	return out, err
}
