-- A bench's row is as long as the room has epochs and changes with each step. On a page of its own it stays there, and the server's log of
-- writes has what changed; where it moves, all of it.
ALTER TABLE pullcard.members SET (fillfactor = 10);
