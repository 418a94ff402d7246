package shop

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"pullcard/patterns/harmless"
	"pullcard/sequence/book"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
	"pullcard/sequence/report"
	"pullcard/sequence/schedule"
	"pullcard/sequence/verdict"
)

// TellList tells a list of records of one kind: number, when they were added or begun, where they stand, and the fields that anybody filled in, but for long text.
func TellList(k records.Kind, list []Item) (s report.Section) {
	shown := slices.DeleteFunc(slices.Clone(k.Fields), func(f records.Field) bool {
		return f.Whole || f.File || !slices.ContainsFunc(list, func(it Item) bool { return it.Fields[f.Key] != "" })
	})
	marked := slices.ContainsFunc(list, func(it Item) bool { return it.Mark != "" })
	row := func(number, since, mark string, says func(records.Field) string) string {
		cells := []string{number, since}
		if marked {
			cells = append(cells, mark)
		}
		for _, f := range shown {
			cells = append(cells, harmless.Text(says(f)))
		}
		return strings.Join(cells, "\t")
	}
	head, dates := Dates(list, minute)
	rows := []string{row(string(k.Name), head, "state", func(f records.Field) string { return f.Label })}
	for i, it := range list {
		rows = append(rows, row(fmt.Sprint(it.ID), dates[i], harmless.Text(it.Mark), it.Says))
	}
	s.Table(0, rows...)
	return s
}

// Tell tells a page: the record, what it said before, and what belongs to it.
func (p Page) Tell() []report.Section {
	k, _ := records.Find(p.Kind)
	var s report.Section
	rows := []string{fmt.Sprintf("%s %d\t%s", p.Kind, p.ID, harmless.Text(p.Label())), p.Dated() + "\t" + minute(p.At)}
	if p.State != book.Kept {
		rows = append(rows, "state\t"+map[book.RecordState]string{book.Removed: "removed", book.Forgotten: "forgotten"}[p.State])
	}
	for _, f := range k.Fields {
		if text := p.Says(f); text != "" && !f.Whole {
			rows = append(rows, f.Label+"\t"+harmless.Text(text))
		}
	}
	s.Table(0, rows...)
	for _, c := range p.Corrections {
		s.Say("until %s %s", minute(c.At), changed(k, c, p.Fields))
	}
	out := []report.Section{s}
	for _, below := range p.Below {
		part := report.Section{Head: below.Title}
		for _, l := range below.Lines {
			part.Add("  " + l.Text)
		}
		out = append(out, part)
	}
	return out
}

// changed tells what a record said before a correction where it says something else now.
func changed(k records.Kind, c book.Correction, now records.Fields) string {
	var words []string
	for _, f := range k.Fields {
		if c.Before[f.Key] == now[f.Key] || f.Of != "" && c.Before[f.Key] != "" {
			continue
		}
		if f.Whole {
			words = append(words, "another "+f.Label)
			continue
		}
		words = append(words, f.Label+" "+cmp.Or(c.Before[f.Key], "empty"))
	}
	text := strings.Join(words, ", ")
	if c.Why != "" {
		text += " (" + c.Why + ")"
	}
	return text
}

// Tell tells a day.
func (d Day) Tell() (s report.Section) {
	rows := []string{fmt.Sprintf("%s\tstrung %d\thanded over %d", d.Day, len(d.Strung), len(d.Handed))}
	add := func(what string, at time.Time, job int64, cells ...string) {
		row := fmt.Sprintf("%s\t%s\tjob %d", what, at.Local().Format("15:04"), job)
		for _, c := range cells {
			row += "\t" + harmless.Text(c)
		}
		rows = append(rows, row)
	}
	for _, l := range d.Strung {
		add("strung", l.At, l.Job, l.Title, l.Stringer, l.Machine)
	}
	for _, l := range d.Handed {
		paid := "not paid"
		if l.Paid {
			paid = "paid"
		}
		add("handed over", l.At, l.Job, l.Title, l.To, l.Price+" "+paid)
	}
	s.Table(0, append(rows, "price\t"+harmless.Text(Money(d.Price)), "paid\t"+harmless.Text(Money(d.Paid)))...)
	return s
}

// TellDue tells which rackets are due.
func TellDue(list []Due) (s report.Section) {
	if len(list) == 0 {
		s.Say("none is due by then; what waits already or is in work is not asked for")
		return s
	}
	rows := []string{"due\tplayer\tracket\tstrung\tat\tcontact"}
	for _, d := range list {
		rows = append(rows, strings.Join([]string{day(d.Due), harmless.Text(d.Player), harmless.Text(d.Mark), day(d.Strung), harmless.Text(d.At), harmless.Text(d.Contact)}, "\t"))
	}
	s.Table(0, rows...)
	return s
}

// TellJobs tells the jobs that were begun, in the order given.
func TellJobs(list []book.Entry) (s report.Section) {
	rows := []string{"job\tplayer\tracket\tframe\ttechnique\tplan\tstate\tstep\tlast touched"}
	for _, j := range list {
		rows = append(rows, strings.Join([]string{fmt.Sprint(j.ID), harmless.Text(j.Player), harmless.Text(j.Racket), harmless.Text(j.Frame), harmless.Text(j.Technique),
			j.Fingerprint, j.State.Says(), fmt.Sprintf("%d of %d", j.Step, j.Steps), minute(j.Last)}, "\t"))
	}
	s.Table(0, rows...)
	return s
}

// TellQueue tells the queue: how long a racket takes at a pace, when each will be ready, where string runs short, and who is away without a racket.
func TellQueue(p schedule.Pace, list []Waiting, away []string) (s report.Section) {
	s.Say("a racket takes %s", p)
	var rows, short []string
	for _, q := range list {
		state := "waits"
		switch {
		case q.Slot.Parked:
			state = "parked"
		case q.Slot.Begun:
			state = progress.Open.Says()
		}
		if q.Undecided {
			state += " " + undecidedWord
		}
		state += ", " + q.Since
		rows = append(rows, fmt.Sprintf("job %d\t%s\t%s\t%s\t%s", q.ID, state, harmless.Text(q.Title), harmless.Text(q.Who()), q.Slot))
		if q.Gone != "" {
			short = append(short, fmt.Sprintf("job %d: %s", q.ID, q.Gone))
		}
		if q.Short != "" {
			short = append(short, fmt.Sprintf("at job %d %s", q.ID, q.Short))
		}
	}
	if len(rows) > 0 {
		s.Table(0, rows...)
	}
	s.Warn(append(short, away...)...)
	return s
}

// TellOrders tells how long each string lasts and what to order.
func TellOrders(orders []records.Order) (s report.Section) {
	rows := []string{"string\tleft\ta week\tlasts\torder"}
	for _, o := range orders {
		lasts, order := "not used", "–"
		if o.Weeks != nil {
			lasts = fmt.Sprintf("%.1f weeks", *o.Weeks)
		}
		if o.Pieces > 0 {
			order = fmt.Sprintf("%d × %s of %s", o.Pieces, o.Form, Metres(o.PieceM*1000))
		}
		rows = append(rows, strings.Join([]string{harmless.Text(o.Name), Metres(o.LeftM * 1000), Metres(o.WeeklyM * 1000), lasts, order}, "\t"))
	}
	s.Table(0, rows...)
	return s
}

// Tell tells what a lot's verdicts say, and what that rests on.
func (a Advice) Tell() (s report.Section) {
	s.Say("lot %d, %s: %d rackets, %d wait", a.Lot.ID, a.Lot.Label(), len(a.Cards), len(a.Waiting))
	s.Add(a.Head())
	s.Add(evidence(a.Lines)...)
	return s
}

// Tell tells how to string for the same feel, and what that rests on.
func (f SameFeel) Tell() (s report.Section) {
	s.Say("to feel like job %d: %s, plus or minus %s", f.Job, records.Bed(f.Mains, f.Crosses), f.PlusMinus)
	s.Add(evidence(f.Lines)...)
	return s
}

// evidence is what a suggestion rests on, a line each.
func evidence(lines []verdict.Line) (out []string) {
	for _, l := range lines {
		out = append(out, fmt.Sprintf("  %-10s  %s", l.Kind, l.Text))
	}
	return out
}

// TellBuiltIns tells what is built in, each kind below how a job names it.
func TellBuiltIns(list []BuiltIn) []report.Section {
	frames, sheets := report.Section{Head: `Frames, all invented; a job says frame = "NAME":`}, report.Section{Head: `Technique sheets; a job says technique = "NAME":`}
	wide := 0
	for _, b := range list {
		wide = max(wide, len(b.Name))
	}
	for _, b := range list {
		s := &frames
		if b.Kind == "technique" {
			s = &sheets
		}
		for i, line := range report.Wrap(b.Says, float64(74-wide), report.Characters) {
			if i > 0 {
				b.Name = ""
			}
			s.Say("  %-*s  %s", wide, b.Name, line)
		}
	}
	return []report.Section{frames, sheets}
}
