package room

import "pullcard/sequence/report"

// Tell tells what came of a round.
func (r Round) Tell() (s report.Section) {
	s.Say("changes: %d of others taken in, %d given", r.Taken, r.Given)
	if r.Renewed {
		s.Add("this book was an older copy than the room knew; it goes on under a new number")
	}
	if r.Forgotten > 0 {
		s.Say("%d people were forgotten elsewhere, and are here now", r.Forgotten)
	}
	if r.Waiting > 0 {
		s.Say("%d changes are kept and wait: for others to come, or for a newer program; pullcard room state lists them", r.Waiting)
	}
	return s
}
