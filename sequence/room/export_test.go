package room

import "context"

// Enter has the room know the book by a new word.
func (s *Syncer) Enter(ctx context.Context) error { return s.enter(ctx) }
