package book

import (
	"pullcard/sequence/records"
	"pullcard/sequence/report"
)

// Tell tells what an import did, and what a person has to decide on.
func (m Merged) Tell() (s report.Section) {
	for _, t := range []struct {
		what string
		Tally
	}{{"records", m.Records}, {"jobs", m.Jobs}} {
		s.Say("%-8s %d added, %d newer than here, %d the same, %d older than here", t.what+":", t.Added, t.Newer, t.Same, t.Older)
	}
	for _, x := range m.Conflicts {
		counts := "; what was said last counts until you correct it"
		if x.What == wasRemoved {
			counts = ""
		}
		s.Say("conflict: %s %d (%s): %s%s", x.Kind, x.ID, x.UID, x.What, counts)
		for _, key := range records.Differing(x.Ours, x.Theirs) {
			s.Say("    %s: last %q, besides %q", key, x.Ours[key], x.Theirs[key])
		}
	}
	for _, p := range m.MaybeSame {
		s.Say("maybe the same: player %d and player %d, %s; if so: pullcard book same %d %d", p.Ours.ID, p.Theirs.ID, p.Ours.Label(), p.Ours.ID, p.Theirs.ID)
	}
	for _, r := range m.Forgotten {
		s.Say("forgotten there: %s %d (%s); if that holds here too: pullcard book forget \"%s %d\" --yes", r.Kind, r.ID, r.UID, r.Kind, r.ID)
	}
	return s
}

// Tell tells what became of the books after Restore of a copy.
func (r Restored) Tell(backup string) (s report.Section) {
	s.Say("the book is as in %s", backup)
	switch {
	case r.Damaged:
		s.Say("the book that was there is damaged and set aside as %s and the files that begin with that name", r.Kept)
	case r.Kept != "":
		s.Say("the book that was there is kept in %s", r.Kept)
	}
	if r.Forgotten > 0 {
		s.Say("%d forgotten people were in the copy and are forgotten again; the copy itself still holds their names", r.Forgotten)
	}
	return s
}
