package sequence

import (
	"bytes"
	"slices"
	"strconv"

	"pullcard/patterns/measure"
	"pullcard/patterns/source"
)

// EditTensions changes the tensions in the text of a job file and nothing else; comments and layout stay. file is the name
// in messages. The error is a source.Problems where the text is no job file.
func EditTensions(file string, text []byte, mains, crosses measure.Tension) ([]byte, error) {
	entries := source.Entries(text)
	find := func(path string) *source.Entry {
		i := slices.IndexFunc(entries, func(e source.Entry) bool { return !e.Header && e.Path == path })
		if i < 0 {
			return nil
		}
		return &entries[i]
	}
	m, c := find("tension.mains"), find("tension.crosses")
	if m == nil {
		return nil, source.Problems{{File: file, Text: `tension.mains is missing; write [tension] and below it mains = "24 kg"`}}
	}
	// The later place first, so that the earlier one stays where it is.
	edits := []edit{{m.Value, strconv.Quote(mains.String())}}
	switch {
	case c != nil:
		edits = append(edits, edit{c.Value, strconv.Quote(crosses.String())})
	case crosses != mains:
		separator := "\n"
		if m.Within >= 0 {
			separator = ", "
		}
		edits[0].text += separator + "crosses = " + strconv.Quote(crosses.String())
	}
	slices.SortFunc(edits, func(a, b edit) int { return b.at.Start - a.at.Start })
	out := bytes.Clone(text)
	for _, e := range edits {
		out = slices.Concat(out[:e.at.Start], []byte(e.text), out[e.at.End:])
	}
	if _, _, err := ReadJob(file, out); err != nil {
		return nil, err
	}
	return out, nil
}

// edit is what comes into a place.
type edit struct {
	at   source.Range
	text string
}
