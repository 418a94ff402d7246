package shop

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"pullcard/patterns/measure"
	"pullcard/patterns/source"
	"pullcard/sequence"
	"pullcard/sequence/book"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// setUpOf is how a job file says that a racket is strung. The files that it names are named so that they are found from any
// folder.
func (f Files) setUpOf(j *sequence.Job) (frame, technique string, tension records.Tensions) {
	return f.place(j.File, j.Frame.Value, layouts()), f.place(j.File, j.Technique.Value, techniques()), records.Bed(j.Mains.String(), j.Crosses.String())
}

// compose gives a job that has no job file the text of one: from what it says and its racket, and from the last time that
// the racket was strung where those say nothing. The error joins what is wrong, each as "field: what is wrong", and what is missing.
func (s *Shop) compose(ctx context.Context, j *records.Job) error {
	last, err := s.fill(ctx, j, func(string) {})
	if err != nil {
		return err
	}
	var wrong []error
	for _, m := range missing(j) {
		wrong = append(wrong, fmt.Errorf("%s: write it, as %s; there is no last time to take it from", m.key, m.example))
	}
	if wrong != nil {
		return errors.Join(append(wrong, layoutField(s.Files, j, &j.Frame))...)
	}
	return s.setUp(ctx, j, last)
}

// fill fills in what a job leaves blank, and tells after each step from where that was taken; last is how its racket was strung last.
func (s *Shop) fill(ctx context.Context, j *records.Job, told func(from string)) (last sequence.Job, err error) {
	racket, err := s.racketOf(ctx, j)
	if err != nil {
		return last, err
	}
	told("whose it is")
	if err := s.asTheLot(ctx, j); err != nil {
		return last, err
	}
	told("as the others of the lot")
	if err := s.wishes(ctx, j, racket, told); err != nil {
		return last, err
	}
	j.Frame = cmp.Or(j.Frame, racket.Frame)
	told("the racket's")
	if last, err = s.lastTime(ctx, j); err != nil {
		return last, err
	}
	frame, technique, tension := s.setUpOf(&last)
	j.Frame, j.Technique, j.Tension = cmp.Or(j.Frame, frame), cmp.Or(j.Technique, technique), cmp.Or(j.Tension, tension)
	told("as last time")
	if err := s.usualSheet(ctx, j, told); err != nil {
		return last, err
	}
	err = s.onlyMachine(ctx, j)
	told("the only one")
	return last, err
}

// recentJobs is in how many of the newest jobs a sheet is looked for: this program's own choice.
const recentJobs = 100

// usualSheet fills in the sheet of the newest job on the frame, or else of the player, or else of the shop, or what the settings say: the first
// by which the frame can be strung.
func (s *Shop) usualSheet(ctx context.Context, j *records.Job, told func(from string)) error {
	if j.Technique != "" || j.Frame == "" {
		return nil
	}
	house, err := s.house()
	if err != nil {
		return err
	}
	list, err := s.Book.Find(ctx, records.KindJob, "", recentJobs)
	if err != nil {
		return err
	}
	jobs, can := make([]records.Job, len(list)), map[string]bool{"": false}
	for i, r := range list {
		jobs[i] = records.As[records.Job](r.Fields)
	}
	fits := func(sheet string) bool {
		if _, tried := can[sheet]; !tried {
			can[sheet] = s.canBeStrung(j.Frame, sheet)
		}
		return can[sheet]
	}
	for _, from := range []struct {
		says string
		is   func(records.Job) bool
	}{
		{"as this frame was last", func(of records.Job) bool { return of.Frame == j.Frame }},
		{"as the player's last racket", func(of records.Job) bool { return of.Player != "" && of.Player == j.Player }},
		{"as the last racket", func(records.Job) bool { return true }},
	} {
		for _, of := range jobs {
			if from.is(of) && fits(of.Technique) {
				j.Technique = of.Technique
				told(from.says)
				return nil
			}
		}
	}
	if fits(house.Technique) {
		j.Technique = house.Technique
		told("as the settings say")
	}
	return nil
}

// canBeStrung says whether a frame can be strung by a sheet.
func (s *Shop) canBeStrung(frame, sheet string) bool {
	any, _ := measure.ParseTension("20 kg") // no way hangs on it
	text, err := (&sequence.Job{Frame: source.Text{Value: frame}, Technique: source.Text{Value: sheet}, Mains: any, Crosses: any}).Text()
	if err != nil {
		return false
	}
	_, err = s.drafted("", string(text))
	return err == nil
}

// missing are the fields, each with an example, without which no racket is strung and that say nothing.
func missing(j *records.Job) (list []struct{ key, example string }) {
	for _, m := range []struct{ says, key, example string }{
		{j.Frame, records.Key(j, &j.Frame), `"club-sixteen"`}, {j.Technique, records.Key(j, &j.Technique), `"two-piece-skip"`},
		{string(j.Tension), records.Key(j, &j.Tension), `"24 kg" or "24 kg / 23 kg"`},
	} {
		if m.says == "" {
			list = append(list, struct{ key, example string }{m.key, m.example})
		}
	}
	return list
}

// needed stands where nothing fills a field that cannot stay blank.
const needed = "needed"

// Blank says what fills the fields of a new record that are left blank, and from where, by their keys: as "24 kg, as last time", or that it is
// needed once the racket is known, whose last time would fill it. Only a job's are filled, and only one's that names no job file.
func (s *Shop) Blank(ctx context.Context, kind records.Name, fields records.Fields) (map[string]string, error) {
	out, j := map[string]string{}, records.As[records.Job](fields)
	if kind != records.KindJob || j.File != "" {
		return out, nil
	}
	k, _ := records.Find(kind)
	was, from := records.Texts(j), map[string]string{}
	_, err := s.fill(ctx, &j, func(source string) {
		now := records.Texts(j)
		for key, text := range now {
			if was[key] == "" && text != "" {
				from[key] = source
			}
		}
		was = now
	})
	if err != nil {
		return nil, err
	}
	items, err := s.named(ctx, []book.Record{{Kind: kind, Fields: was}})
	for key, source := range from {
		f, _ := k.Field(key)
		out[key] = items[0].Says(f) + ", " + source
	}
	for _, m := range missing(&j) {
		if j.Racket != "" {
			out[m.key] = needed
		}
	}
	return out, err
}

// asTheLot fills in the strings and the promise of the others of a lot, which are strung alike: those of the newest that has strings.
func (s *Shop) asTheLot(ctx context.Context, j *records.Job) error {
	if j.Lot == "" || j.Mains != "" {
		return nil
	}
	history, err := s.Book.History(ctx, records.Job{Player: j.Player, Lot: j.Lot})
	for _, card := range history {
		other := records.As[records.Job](card.Fields)
		if other.Mains == "" {
			continue
		}
		j.Promised = cmp.Or(j.Promised, other.Promised)
		return s.stringsOf(ctx, j, other)
	}
	return err
}

// wishes fills in what the player wants for the racket, or else for every racket.
func (s *Shop) wishes(ctx context.Context, j *records.Job, racket records.Racket, told func(from string)) error {
	player, err := s.playerOf(ctx, *j)
	if err != nil {
		return err
	}
	j.Notes = cmp.Or(j.Notes, remarks(player, racket))
	told("to be minded")
	for _, wish := range []struct {
		tension          records.Tensions
		technique, stock string
		of               string
	}{{racket.Tension, racket.Technique, racket.String, "this racket"}, {player.Tension, player.Technique, player.String, "every racket"}} {
		j.Tension, j.Technique = cmp.Or(j.Tension, wish.tension), cmp.Or(j.Technique, wish.technique)
		if j.Mains == "" {
			if j.Mains, err = s.stillThere(ctx, wish.stock); err != nil {
				return err
			}
		}
		told("as wished for " + wish.of)
	}
	return nil
}

// remarks are what to mind at the machine, for all rackets of a player and for one.
func remarks(p records.Player, r records.Racket) string {
	return strings.Join(compact([]string{p.Remarks, r.Remarks}), "; ")
}

// remind has a job whose racket is another one now say what is to be minded with that, where its notes are what was to be minded with
// the one before.
func (s *Shop) remind(ctx context.Context, was records.Job, now *records.Job) error {
	if now.Racket == was.Racket || now.Notes != was.Notes {
		return nil
	}
	var say [2]string
	for i, j := range []*records.Job{&was, now} {
		racket, err := s.racketOf(ctx, j)
		if err != nil {
			return err
		}
		player, err := s.playerOf(ctx, *j)
		if err != nil {
			return err
		}
		say[i] = remarks(player, racket)
	}
	if was.Notes == say[0] {
		now.Notes = say[1]
	}
	return nil
}

// playerOf is what the book says of a job's player.
func (s *Shop) playerOf(ctx context.Context, j records.Job) (records.Player, error) {
	if j.Player == "" {
		return records.Player{}, nil
	}
	r, err := s.Book.Record(ctx, j.Player)
	return records.As[records.Player](r.Fields), err
}

// racketOf is what the book says of a job's racket; whose it is is filled in.
func (s *Shop) racketOf(ctx context.Context, j *records.Job) (records.Racket, error) {
	if j.Racket == "" {
		return records.Racket{}, nil
	}
	r, err := s.Book.Record(ctx, j.Racket)
	racket := records.As[records.Racket](r.Fields)
	j.Player = cmp.Or(j.Player, racket.Player)
	return racket, err
}

// lastTime is how the racket of a job was strung last, without what may be another today: the machine, and what is left
// on a reel. The stock of the strings is filled in where neither string is said and there is still some of it.
func (s *Shop) lastTime(ctx context.Context, j *records.Job) (last sequence.Job, err error) {
	if j.Racket == "" {
		return last, nil
	}
	history, err := s.Book.History(ctx, records.Job{Player: j.Player, Racket: j.Racket})
	if err != nil {
		return last, err
	}
	i := slices.IndexFunc(history, func(c book.Card) bool { return c.Entry != nil && c.Entry.State == progress.Finished })
	if i < 0 {
		return last, nil
	}
	file, text, err := s.Book.Text(ctx, history[i].UID)
	if err != nil {
		return last, err
	}
	if was, _, err := sequence.ReadJob(file, text); err == nil { // else it was forgotten; then there is no last time
		last = *was
	}
	last.Machine = sequence.Machine{}
	if j.Mains != "" {
		last.StringMains, last.StringCrosses = sequence.String{}, sequence.String{}
		return last, nil
	}
	err = s.stringsOf(ctx, j, records.As[records.Job](history[i].Fields))
	for _, y := range []*sequence.String{&last.StringMains, &last.StringCrosses} {
		y.Supply.ReelMM, y.Supply.LeftMM = 0, 0
	}
	return last, err
}

// stringsOf fills in the stocks of another job's strings of which there is some left.
func (s *Shop) stringsOf(ctx context.Context, j *records.Job, other records.Job) (err error) {
	if j.Mains, err = s.stillThere(ctx, other.Mains); err == nil && j.Crosses == "" && other.Crosses != other.Mains {
		j.Crosses, err = s.stillThere(ctx, other.Crosses)
	}
	return err
}

// stillThere is a stock of which there is some left, or nothing: the bench then takes another one of the same name.
func (s *Shop) stillThere(ctx context.Context, stock string) (string, error) {
	if stock == "" {
		return "", nil
	}
	shelf, err := s.Book.Shelf(ctx, stock)
	if err != nil || shelf.State != book.Kept || shelf.Left() <= 0 {
		return "", err
	}
	return stock, nil
}

// onlyMachine fills in the machine where the book has just one.
func (s *Shop) onlyMachine(ctx context.Context, j *records.Job) error {
	if j.Machine != "" {
		return nil
	}
	list, err := s.Book.Find(ctx, records.KindMachine, "", 2)
	if len(list) == 1 {
		j.Machine = list[0].UID
	}
	return err
}

// setUp writes a job's text over what it was, and proves it. Frame, technique and tension must be there.
func (s *Shop) setUp(ctx context.Context, j *records.Job, t sequence.Job) error {
	mains, crosses, err := j.Tension.Both()
	if err != nil {
		return fmt.Errorf("%s: %w", records.Key(j, &j.Tension), err)
	}
	t.File, t.Mains, t.Crosses = "", mains, crosses
	t.Frame.Value, t.Technique.Value = s.placeTyped(j.Frame, layouts()), s.placeTyped(j.Technique, techniques())
	if err := s.refer(ctx, j, &t); err != nil {
		return err
	}
	text, err := t.Text()
	if err != nil {
		return err
	}
	if _, err := s.Work("", text); err != nil {
		return byField(err, j, &t, text)
	}
	j.Text = string(text)
	j.Frame, j.Technique, j.Tension = s.setUpOf(&t)
	return nil
}

// refer writes what the records say that a job names.
func (s *Shop) refer(ctx context.Context, j *records.Job, t *sequence.Job) error {
	of := map[string]records.Fields{}
	for _, uid := range []*string{&j.Player, &j.Racket, &j.Mains, &j.Crosses, &j.Machine} {
		if *uid == "" {
			continue
		}
		r, err := s.Book.Record(ctx, *uid)
		if err != nil {
			return fmt.Errorf("%s: %w", records.Key(j, uid), err)
		}
		of[*uid] = r.Fields
	}
	t.Player = cmp.Or(records.As[records.Player](of[j.Player]).Name, t.Player)
	t.Racket = cmp.Or(records.As[records.Racket](of[j.Racket]).Mark, t.Racket)
	follows := t.StringCrosses == t.StringMains
	if j.Mains != "" {
		t.StringMains = product(records.As[records.Stock](of[j.Mains]), t.StringMains)
	}
	if follows {
		t.StringCrosses = t.StringMains
	}
	if j.Crosses != "" {
		t.StringCrosses = product(records.As[records.Stock](of[j.Crosses]), t.StringCrosses)
	}
	if j.Machine != "" {
		t.Machine = machineOf(records.As[records.Machine](of[j.Machine]), t.Machine)
	}
	return nil
}

// product is the string of a stock; from what it was stays the pre-stretch of a string of that name. What it is cut from, the
// book knows.
func product(s records.Stock, was sequence.String) sequence.String {
	mass, _ := measure.ParseLinearMass(s.Mass) // it was checked when it was written
	y := sequence.String{Name: s.Name, DiameterMM: s.Diameter.MM(), GramsPerMetre: mass, Material: sequence.Material(s.Material)}
	if records.Fold(was.Name) == records.Fold(s.Name) {
		y.StretchPercent = was.StretchPercent
	}
	return y
}

// machineOf is a machine of the book; what was said of a machine of that name and is not in the book stays.
func machineOf(m records.Machine, was sequence.Machine) sequence.Machine {
	if records.Fold(was.Name) != records.Fold(m.Name) {
		was = sequence.Machine{}
	}
	was.Name, was.ReachMM, was.Kind = m.Name, m.Reach.MM(), sequence.MachineKind(m.Pull)
	return was
}

// byField says of each problem in a composed text which field it is about.
func byField(err error, j *records.Job, t *sequence.Job, text []byte) error {
	ps, one := source.Problems{}, source.Problem{}
	technique := records.Key(j, &j.Technique) // what has no place is about the plan
	switch {
	case errors.As(err, &ps):
	case errors.As(err, &one):
		ps = source.Problems{one}
	default:
		return fmt.Errorf("%s: %w", technique, err)
	}
	var wrong []error
	for _, p := range ps {
		switch p.File {
		case "":
			wrong = append(wrong, fmt.Errorf("%s: %s", cmp.Or(fieldAt(p.Line, text), technique), p.Text))
		case t.Frame.Value:
			wrong = append(wrong, fmt.Errorf("%s: %w", records.Key(j, &j.Frame), p))
		default:
			wrong = append(wrong, fmt.Errorf("%s: %w", technique, p))
		}
	}
	return errors.Join(wrong...)
}

// fieldAt is the field from which a line of a composed text came, which has the name of its table there.
func fieldAt(line int, text []byte) (field string) {
	for _, e := range source.Entries(text) {
		if e.Line <= line {
			field, _, _ = strings.Cut(strings.TrimPrefix(e.Path, "string."), ".")
		}
	}
	return field
}

// fits sees that what a racket is and what is wanted for it are there.
func (f Files) fits(r *records.Racket) error {
	return errors.Join(layoutField(f, r, &r.Frame), sheetField(f, r, &r.Technique))
}

// wanted sees that what a player wants is there.
func (f Files) wanted(p *records.Player) error { return sheetField(f, p, &p.Technique) }

// layoutField sees that the frame of a record is a layout that can be read, and names it so that it is found from any folder.
func layoutField[R records.Typed](f Files, r *R, frame *string) error {
	return shelvedField(f, r, frame, layouts())
}

// sheetField is the same of a technique sheet.
func sheetField[R records.Typed](f Files, r *R, technique *string) error {
	return shelvedField(f, r, technique, techniques())
}

func shelvedField[R records.Typed](f Files, r *R, name *string, of shelved) error {
	if *name == "" {
		return nil
	}
	field := records.Key(r, name)
	*name = f.placeTyped(*name, of)
	file, data, err := f.named("", source.Text{Value: *name}, of)
	if p := (source.Problem{}); errors.As(err, &p) {
		return fmt.Errorf("%s: %s", field, p.Text)
	}
	if _, _, err := of.check(file, data); err != nil {
		return fmt.Errorf("%s: %w", field, err)
	}
	*name = f.place("", *name, of)
	return nil
}
