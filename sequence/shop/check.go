package shop

import (
	"errors"
	"fmt"

	"pullcard/patterns"
	"pullcard/patterns/source"
	"pullcard/sequence"
	"pullcard/sequence/records"
)

// Check reads a layout, a technique sheet or a job, told apart by what they say, and says what it is. The name of a
// layout or technique sheet, the house's or a built-in one, may stand in place of a file, which read
// reads and names.
func (f Files) Check(path string, read func() (string, []byte, error)) (said string, warnings []string, err error) {
	var unknown error // what the house keeps; a file may have the name all the same
	for _, of := range []shelved{layouts(), techniques()} {
		data, ok, err := f.known(path, of)
		if ok {
			return of.check(path, data)
		}
		unknown = err
	}
	path, data, err := read()
	if err != nil {
		if near := source.Meant(path, append(f.Names(records.KindFrame), f.Names(records.KindSheet)...)); near != "" {
			err = fmt.Errorf("%w; %s", err, near)
		}
		return "", nil, errors.Join(err, unknown)
	}
	kind, err := kindOf(path, data)
	if err != nil {
		return "", nil, err
	}
	switch kind {
	case "layout":
		return checkLayout(path, data)
	case "technique":
		return checkTechnique(path, data)
	}
	return f.checkJob(path, data)
}

func checkLayout(path string, data []byte) (string, []string, error) {
	frame, warnings, err := patterns.ReadLayout(path, data)
	if err != nil {
		return "", lines(warnings), err
	}
	crossings := 0
	for _, c := range frame.Crosses {
		crossings += len(frame.Met(c))
	}
	return fmt.Sprintf("%s: layout %q, %s %d×%d, %d holes a side, %d crossings: in order",
		path, frame.Name, frame.Sport, len(frame.Columns()), len(frame.Crosses), frame.Holes[patterns.Left], crossings), lines(warnings), nil
}

func checkTechnique(path string, data []byte) (string, []string, error) {
	t, warnings, err := sequence.ReadTechnique(path, data)
	if err != nil {
		return "", lines(warnings), err
	}
	return fmt.Sprintf("%s: technique sheet %q, pieces %d: in order", path, t.Name, t.Pieces), lines(warnings), nil
}

func (f Files) checkJob(path string, data []byte) (string, []string, error) {
	w, err := f.Work(path, data)
	if err != nil {
		return "", nil, err
	}
	return fmt.Sprintf("%s: job, %s by %q, plan %s of %d steps: in order", path, w.Plan.Frame, w.Plan.Technique, w.Plan.Plan, len(w.Plan.Steps)),
		w.Warnings(), nil
}
