package shop

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
	"pullcard/sequence/report"
)

// Person is the player or the stringer whom somebody means, by what Meant takes or by the kind and that, as "stringer 2". The error says when it may be either.
func (s *Shop) Person(ctx context.Context, asked string) (book.Record, error) {
	if kind, which, ok := strings.Cut(asked, " "); ok && records.Name(kind).Person() {
		return s.Meant(ctx, records.Name(kind), "", which)
	}
	player, none := s.Meant(ctx, records.KindPlayer, "", asked)
	stringer, err := s.Meant(ctx, records.KindStringer, "", asked)
	for _, wrong := range []error{none, err} { // of several nobody takes the one of the other kind
		if errors.As(wrong, new(*book.AmbiguousError)) {
			return player, wrong
		}
	}
	switch {
	case err != nil && none != nil:
		return player, fmt.Errorf("%w, nor a stringer", none)
	case err != nil:
		return player, none
	case none == nil:
		return player, fmt.Errorf("%q may be player %d, %s, or stringer %d, %s; write \"player %d\" or \"stringer %d\"", asked, player.ID, player.Label(), stringer.ID, stringer.Label(), player.ID, stringer.ID)
	default:
		return stringer, nil
	}
}

// WouldForget says what Forget takes out of the book of a player or a stringer.
func (s *Shop) WouldForget(ctx context.Context, p book.Record) (string, error) {
	n, err := s.Book.Concerns(ctx, p.UID)
	k, _ := records.Find(p.Kind)
	_, gone := k.Blank(p.Fields)
	return fmt.Sprintf("%s %d, %s, would be forgotten: %s, and what says who it was in %s", p.Kind, p.ID, p.Label(), strings.Join(gone, ", "), records.Counted(n)), err
}

// Forget takes out of the book what says who a player or a stringer is, and tells where that still lies.
func (s *Shop) Forget(ctx context.Context, p book.Record) (done report.Section, err error) {
	n, err := s.Book.Forget(ctx, p.UID)
	if err != nil {
		return done, err
	}
	done.Say("%s %d is forgotten, and what said who it was in %s", p.Kind, p.ID, records.Counted(n))
	if p.State != book.Forgotten {
		said, err := s.Book.Mentions(ctx, p.Label())
		if err != nil {
			return done, err
		}
		if len(said) > 0 {
			done.Say("the name stays in %s: what is said of something else keeps its history, and a plan is held to the letter by its fingerprint", strings.Join(said, ", "))
		}
	}
	done.Say("copies, exports and job files made before still hold the name; delete them")
	kept, err := book.KeptBeside(s.Book.Path())
	for _, path := range kept {
		done.Say("    %s", path)
	}
	return done, err
}

// MergePlayers says that two players, each named as Meant takes it, are one: the first gets what belongs to the other, who is removed. It gives
// the numbers of both, and how many records changed hands.
func (s *Shop) MergePlayers(ctx context.Context, player, other string) (n int, first, second int64, err error) {
	p, err := s.Meant(ctx, records.KindPlayer, "", player)
	if err != nil {
		return 0, 0, 0, err
	}
	o, err := s.Meant(ctx, records.KindPlayer, "", other)
	if err != nil {
		return 0, 0, 0, err
	}
	n, err = s.Book.MergePlayers(ctx, p.UID, o.UID, s.Now())
	return n, p.ID, o.ID, err
}
