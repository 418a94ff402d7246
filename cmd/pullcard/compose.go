package main

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"pullcard/patterns"
	"pullcard/patterns/library"
	"pullcard/patterns/source"
	"pullcard/sequence/book"
	"pullcard/sequence/house"
	progress "pullcard/sequence/run"
)

// jobText is a job file as it is composed from the book.
type jobText struct {
	Player    string `toml:"player,omitempty"`
	Racket    string `toml:"racket,omitempty"`
	Frame     string `toml:"frame"`
	Technique string `toml:"technique"`
	Tension   struct {
		Mains        string `toml:"mains"`
		Crosses      string `toml:"crosses"`
		Proportional bool   `toml:"proportional,omitempty"`
	} `toml:"tension"`
	String  map[string]map[string]any `toml:"string,omitempty"`
	Machine map[string]any            `toml:"machine,omitempty"`
}

// readJobText takes a job file apart. The files that it names are named so that they are found from any folder.
func readJobText(file string, text []byte) (t jobText, err error) {
	if err := toml.Unmarshal(text, &t); err != nil {
		return t, err
	}
	t.Frame, t.Technique = place(file, t.Frame, library.Layout), place(file, t.Technique, library.Technique)
	if t.String == nil {
		t.String = map[string]map[string]any{}
	}
	return t, nil
}

func (t jobText) fields() house.Fields {
	return house.Fields{"frame": t.Frame, "technique": t.Technique, "tension": tensions(t.Tension.Mains, t.Tension.Crosses)}
}

// place is a built-in name as it is, and any other as the whole path of what a job file means by it.
func place(job, name string, builtIn func(string) ([]byte, bool)) string {
	if _, ok := builtIn(name); ok || name == "" || filepath.IsAbs(name) {
		return name
	}
	path := filepath.Join(filepath.Dir(job), name)
	if abs, err := filepath.Abs(path); err == nil {
		return abs
	}
	return path
}

// placeTyped is place for a name that somebody typed: one that is not there stays as it is, so that messages say it so.
func placeTyped(name string, builtIn func(string) ([]byte, bool)) string {
	path := place("", name, builtIn)
	if _, err := os.Stat(path); err != nil {
		return name
	}
	return path
}

// compose gives a job that has no job file the text of one: from its fields and its racket, and from the last time that
// the racket was strung where those say nothing. A job of which nobody has said how it is strung is left without. The
// error joins what is wrong, each as "field: what is wrong".
func (s *shop) compose(fields house.Fields) error {
	racket, err := s.racketOf(fields)
	if err != nil {
		return err
	}
	last, err := s.lastTime(fields)
	if err != nil {
		return err
	}
	says := last.fields()
	if fields["technique"] == "" && fields["tension"] == "" && says["tension"] == "" {
		return layoutField(fields)
	}
	says["frame"] = cmp.Or(racket["frame"], says["frame"])
	var wrong []error
	for _, f := range [][2]string{{"frame", `"club-sixteen"`}, {"technique", `"two-piece-skip"`}, {"tension", `"24 kg" or "24 kg / 23 kg"`}} {
		if fields[f[0]] = cmp.Or(fields[f[0]], says[f[0]]); fields[f[0]] == "" {
			wrong = append(wrong, fmt.Errorf("%s: write it, as %s; this racket has no last time to take it from", f[0], f[1]))
		}
	}
	if wrong != nil {
		return errors.Join(wrong...)
	}
	if err := s.onlyMachine(fields); err != nil {
		return err
	}
	return s.setUp(fields, last)
}

// racketOf is what the book says of a job's racket; whose it is is filled in.
func (s *shop) racketOf(fields house.Fields) (house.Fields, error) {
	if fields["racket"] == "" {
		return nil, nil
	}
	r, err := s.book.Record(s.ctx, fields["racket"])
	if err == nil {
		fields["player"] = cmp.Or(fields["player"], r.Fields["player"])
	}
	return r.Fields, err
}

// lastTime is how the racket of a job was strung last, without what may be another today: the machine, and what is left
// on a reel. The stock of the strings is filled in where neither string is said and there is still some of it.
func (s *shop) lastTime(fields house.Fields) (last jobText, err error) {
	last.String = map[string]map[string]any{}
	history, err := s.book.History(s.ctx, fields["player"])
	if err != nil {
		return last, err
	}
	i := slices.IndexFunc(history, func(c book.Card) bool {
		return fields["racket"] != "" && c.Fields["racket"] == fields["racket"] && c.Entry != nil && c.Entry.State == progress.Finished
	})
	if i < 0 {
		return last, nil
	}
	file, text, err := s.book.Text(s.ctx, history[i].UID)
	if err != nil {
		return last, err
	}
	if was, err := readJobText(file, text); err == nil { // else it was forgotten; then there is no last time
		last = was
	}
	last.Machine = nil
	if fields["mains"] != "" {
		last.String = map[string]map[string]any{}
		return last, nil
	}
	for key, t := range last.String {
		delete(t, "reel")
		delete(t, "left")
		if fields[key] == "" {
			if fields[key], err = s.stillThere(history[i].Fields[key]); err != nil {
				return last, err
			}
		}
	}
	return last, nil
}

// stillThere is a stock of which there is some left, or nothing: the bench then takes another one of the same name.
func (s *shop) stillThere(stock string) (string, error) {
	if stock == "" {
		return "", nil
	}
	shelf, err := s.book.Shelf(s.ctx, stock)
	if err != nil || shelf.State != book.Kept || shelf.Left() <= 0 {
		return "", err
	}
	return stock, nil
}

// onlyMachine fills in the machine where the book has just one.
func (s *shop) onlyMachine(fields house.Fields) error {
	if fields["machine"] != "" {
		return nil
	}
	list, err := s.book.Find(s.ctx, house.Machine, "", 2)
	if len(list) == 1 {
		fields["machine"] = list[0].UID
	}
	return err
}

// setUp writes a job's text from its fields over what it was, and proves it. frame, technique and tension must be there.
func (s *shop) setUp(fields house.Fields, t jobText) error {
	mains, crosses, err := house.Tensions(fields["tension"])
	if err != nil {
		return fmt.Errorf("tension: %w", err)
	}
	t.Frame, t.Technique = placeTyped(fields["frame"], library.Layout), placeTyped(fields["technique"], library.Technique)
	t.Tension.Mains, t.Tension.Crosses = mains.String(), crosses.String()
	if err := s.refer(fields, &t); err != nil {
		return err
	}
	text, err := toml.Marshal(t)
	if err != nil {
		return fmt.Errorf("write the job: %w", err)
	}
	if _, err := readWork("", text); err != nil {
		return byField(err, t, text)
	}
	fields["text"] = string(text)
	maps.Copy(fields, t.fields())
	return nil
}

// refer writes what the records say that a job names.
func (s *shop) refer(fields house.Fields, t *jobText) error {
	of := map[string]house.Fields{}
	for _, key := range []string{"player", "racket", "mains", "crosses", "machine"} {
		if fields[key] == "" {
			continue
		}
		r, err := s.book.Record(s.ctx, fields[key])
		if err != nil {
			return fmt.Errorf("%s: %w", key, err)
		}
		of[key] = r.Fields
	}
	t.Player, t.Racket = cmp.Or(of["player"]["name"], t.Player), cmp.Or(of["racket"]["mark"], t.Racket)
	for _, key := range []string{"mains", "crosses"} {
		if f := of[key]; f != nil { // what it is cut from, the book knows
			t.String[key] = over(t.String[key], f["name"], map[string]string{"diameter": f["diameter"], "mass": f["mass"], "material": f["material"],
				"reel": "", "left": "", "length": "", "half": ""})
		}
	}
	if f := of["machine"]; f != nil {
		t.Machine = over(t.Machine, f["name"], map[string]string{"reach": f["reach"], "kind": f["pull"]})
	}
	return nil
}

// over puts what a record says over a table of the same name; that of another name goes.
func over(was map[string]any, name string, says map[string]string) map[string]any {
	out := map[string]any{}
	if old, _ := was["name"].(string); house.Fold(old) == house.Fold(name) {
		out = maps.Clone(was)
	}
	out["name"] = name
	for key, text := range says {
		delete(out, key)
		if text != "" {
			out[key] = text
		}
	}
	return out
}

// byField says of each problem in a composed text which field it is about.
func byField(err error, t jobText, text []byte) error {
	ps, one := source.Problems{}, source.Problem{}
	switch {
	case errors.As(err, &ps):
	case errors.As(err, &one):
		ps = source.Problems{one}
	default:
		return fmt.Errorf("technique: %w", err)
	}
	var wrong []error
	for _, p := range ps {
		switch p.File {
		case "":
			wrong = append(wrong, fmt.Errorf("%s: %s", fieldAt(p.Line, text), p.Text))
		case t.Frame:
			wrong = append(wrong, fmt.Errorf("frame: %w", p))
		default:
			wrong = append(wrong, fmt.Errorf("technique: %w", p))
		}
	}
	return errors.Join(wrong...)
}

// fieldAt is the field from which a line of a composed text came.
func fieldAt(line int, text []byte) string {
	field := "technique" // what has no place is about the plan
	for _, e := range source.Entries(text) {
		if e.Line <= line {
			field, _, _ = strings.Cut(strings.TrimPrefix(e.Path, "string."), ".")
		}
	}
	return field
}

// layoutField sees that a record's frame is a layout that can be read, and names it so that it is found from any folder.
func layoutField(fields house.Fields) error {
	name := fields["frame"]
	if name == "" {
		return nil
	}
	file, data, err := named("", source.Text{S: name}, "layout", library.Layout, library.Layouts)
	if p := (source.Problem{}); errors.As(err, &p) {
		return errors.New("frame: " + p.Text)
	}
	if _, _, err := patterns.ReadLayout(file, data); err != nil {
		return fmt.Errorf("frame: %w", err)
	}
	fields["frame"] = place("", name, library.Layout)
	return nil
}
