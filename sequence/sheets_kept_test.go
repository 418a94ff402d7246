package sequence_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"pullcard/patterns"
	"pullcard/patterns/grid"
	"pullcard/patterns/library"
	"pullcard/patterns/sweep"
	"pullcard/sequence"
	"pullcard/sequence/plan"
)

// lines are TOML of which each key says one of some values, or nothing.
type lines []struct {
	key    string
	values []string
}

var jobLines = lines{
	{"player", []string{`"Ada Example"`}}, {"racket", []string{`"blue"`}}, {"frame", []string{`"f"`, `"f"`, `"f"`}}, {"technique", []string{`"t"`, `"t"`, `"t"`}},
	{"[tension]", nil},
	{"mains", []string{`"24 kg"`, `"24 kg"`, `"52 lb"`, `"11 kg"`, `"27.35 kg"`, `"238 N"`, `"15 lb"`, `"12 kg"`, `"38 kg"`, `"90 kg"`, `"1000 N"`, `"950 N"`, `"900 kg"`, `"x"`}},
	{"crosses", []string{`"24 kg"`, `"22 kg"`, `"26 kg"`, `"27.1 kg"`, `"50 lb"`, `"21.9 kg"`, `"25.9 kg"`, `"26.1 kg"`, `"26.3 kg"`, `"22.1 kg"`, `"21.7 kg"`}},
	{"proportional", []string{"true", "true", "false"}}, {"least", []string{`"75 %"`, `"50 %"`, `"100 %"`, `"0 %"`, `"101 %"`}},
	{"strands.M1L", []string{`"20 kg"`, `"12 kg"`, `"31 kg"`}}, {"strands.M3R", []string{`"24 kg"`, `"44 lb"`}}, {"strands.C2", []string{`"20 kg"`, `"0 kg"`}}, {"strands.Q", []string{`"20 kg"`}},
	{"[string.mains]", nil},
	{"name", []string{`"round"`}}, {"diameter", []string{`"1.25 mm"`, `"2 mm"`, `"9 mm"`}}, {"mass", []string{`"1.7 g/m"`}}, {"prestretch", []string{`"10 %"`, `"30 %"`, `"31 %"`}},
	{"material", []string{`"polyester"`, `"wool"`}}, {"length", []string{`"12 m"`, `"5 m"`, `"40 ft"`}}, {"half", []string{"true", "false"}}, {"reel", []string{`"200 m"`, `"10 m"`}}, {"left", []string{`"12 m"`, `"11 m"`}},
	{"[string.crosses]", nil},
	{"name", []string{`"square"`}}, {"prestretch", []string{`"5 %"`}}, {"length", []string{`"6 m"`, `"9 yd"`}}, {"reel", []string{`"100 m"`}},
	{"[machine]", nil},
	{"name", []string{`"bench 1"`}}, {"reach", []string{`"400 mm"`, `"50 mm"`, `"49 mm"`}}, {"step", []string{`"0.1 kg"`, `"0.5 kg"`, `"1 lb"`, `"25 N"`, `"24 N"`, `"26 N"`, `"3 kg"`}},
	{"kind", []string{`"constant pull"`, `"lockout"`, `"drop weight"`, `"crank"`}}, {"gauge.set", []string{`"24 kg"`, `"24 kg"`, `"26 kg"`, `"0 kg"`}}, {"gauge.read", []string{`"23.4 kg"`, `"24 kg"`, `"10 kg"`, `"31.2 kg"`, `"31.7 kg"`, `"25 kg"`}},
	{"bar_degrees", []string{"10", "45", "0", "46", "43", "-1"}}, {"corrected", []string{"true", "false"}},
}

var sheetLines = lines{
	{"name", []string{`"any"`, `"any"`, `"any"`}}, {"pieces", []string{"1", "2", "2", "3"}}, {"around", []string{"true", "false"}},
	{"[mount]", nil},
	{"order", []string{`["a", "b"]`, `["a"]`, `["head", "throat", "outer arms"]`, `["a", "a"]`, `[]`}}, {"release", []string{`["b", "a"]`, `["a"]`, `["b", ""]`}}, {"mark", []string{`"up"`}},
	{"[clamps]", nil},
	{"fixed", []string{"2", "1", "0", "3"}}, {"flying", []string{"2", "0", "1", "3"}}, {"starting", []string{"1", "0", "2"}},
	{"[mains]", nil},
	{"first", []string{`"L"`, `"R"`, `"X"`}}, {"lead", []string{"1", "2", "3", "4"}}, {"then", []string{`"level"`, `"overtake"`}}, {"boost", []string{"0", "1", "4", "5"}}, {"short", []string{`"L"`, `"R"`}},
	{"[crosses]", nil},
	{"from", []string{`"head"`, `"throat"`}}, {"side", []string{`"L"`, `"R"`}}, {"start", []string{`"clamp"`, `"knot"`, `"skip"`}}, {"repull", []string{`"third"`, `"end"`}}, {"ahead", []string{"true", "false", "7"}},
	{"clamps", []string{"1", "2", "0"}}, {"first", []string{`"over"`, `"under"`}},
	{"[boost]", nil},
	{"percent", []string{"10", "0", "30", "31", "-1"}}, {"amount", []string{`"2 kg"`, `"4 lb"`, `"60 N"`, `"7 kg"`, `"2"`}},
	{"[tie]", nil},
	{"knot", []string{`"bow"`}}, {"tail", []string{`"3 mm"`, `"1 mm"`, `"51 mm"`}}, {"reach", []string{"1", "3", "6", "9", "30", "31"}},
	{"[redo]", nil},
	{"walk.mains", []string{"4", "0", "20", "21"}}, {"walk.crosses", []string{"2", "1", "0"}},
}

// text says each key, by so many per cent.
func (l lines) text(lots *rand.Rand, percent int) string {
	text := ""
	for _, line := range l {
		switch n := len(line.values); {
		case n == 0 && lots.IntN(25) == 0:
		case n == 0:
			text += line.key + "\n"
		case n == 3 && line.values[0] == line.values[2] && lots.IntN(9) > 0 || lots.IntN(100) < percent: // what has to be there, or may be
			first := line.values[0]
			if lots.IntN(3) == 0 {
				first = line.values[lots.IntN(n)]
			}
			text += line.key + " = " + first + []string{"", " # so"}[lots.IntN(2)] + "\n"
		}
	}
	return text
}

// Nothing that readers, writers and words of jobs and sheets say changes unseen; with -tags mutate.
func TestSheetsAndJobsKept(t *testing.T) {
	sweep.Net(t)
	kept(t, "sheets", 3000, func(i int, out *strings.Builder) { sheetAndJob(t, i, out) })
}

// sheetAndJob says all of a sheet and a job drawn by lot.
func sheetAndJob(t *testing.T, i int, out *strings.Builder) {
	lots := rand.New(rand.NewPCG(uint64(i), 1))
	jobText, sheetText := jobLines.text(lots, 5+i%40), sheetLines.text(lots, 5+i/7%40)
	if lots.IntN(8) == 0 {
		jobText = "frame = 'f'\ntechnique = 't'\ntension = { " + []string{"mains = '24 kg'", "mains = '24 kg', crosses = '23 kg'", "crosses = '23 kg', mains = '24 kg'", "crosses = '23 kg'"}[lots.IntN(4)] + " }\n"
	}
	j, warned, err := sequence.ReadJob("job.toml", []byte(jobText))
	fmt.Fprintln(out, warned, err)
	sheet, warned, sheetErr := sequence.ReadTechnique("sheet.toml", []byte(sheetText))
	fmt.Fprintln(out, warned, sheetErr)
	if sheetErr == nil {
		clauses := sheet.Clauses()
		for k, c := range clauses {
			fmt.Fprintln(out, c, c.Typed([]byte(sheetText)), c.Usually(), sheet.Says(c.Key), sheet.Says("boost"))
			if k == i%len(clauses) {
				put, err := sequence.Put([]byte(sheetText), clauses, k, []string{"", "3", "R # as ever", "b, a", "true", "knot"}[lots.IntN(6)])
				fmt.Fprintln(out, string(put), err)
			}
		}
	}
	trouble := ""
	for range lots.IntN(5) {
		trouble += []string{"12", "0", "-1", "07", "x", "misweave", "wrong-hole", "wrong hole", "strand=C5", "strand=", "with=M2L", "hole=3HL", "clamp=B", "where=jaw", "extent=crept", "choose=keep", "done=2", "done=-1", "done=02", "done=0", "colour=red", "nothing", "misweav", "wrong-hol", "done=9x"}[lots.IntN(25)] + " "
	}
	done, what, troubleErr := sequence.ParseTrouble([]string{"", "12 misweave ", "1 clamp-slipped ", "7 misweav ", "3 gripper "}[lots.IntN(5)] + trouble)
	fmt.Fprintln(out, done, what, troubleErr, what.Words())
	if err != nil {
		return
	}
	m := j.Machine
	fmt.Fprintln(out, m, m.Setting(j.Mains), m.Offset(), m.Exact(), m.Told(), m.Errs(), m.Cautions(j.Mains, j.Crosses))
	text, err := j.Text()
	fmt.Fprintln(out, string(text), err, string(sequence.Anonymous([]byte(jobText))))
	edited, err := sequence.EditTensions("job.toml", []byte(jobText), kg(t, "25 kg"), kg(t, []string{"25 kg", "24 kg"}[lots.IntN(2)]))
	fmt.Fprintln(out, string(edited), err)
	left, err := j.Take([]grid.Piece{{Name: "mains", CutMM: 6100}, {Name: "crosses", CutMM: 5900}, {Name: "whole", CutMM: float64(lots.IntN(2)) * 500}})
	fmt.Fprintln(out, left, err)
	if sheetErr != nil {
		return
	}
	f := layout(t, library.Layouts()[lots.IntN(len(library.Layouts()))])
	switch lots.IntN(6) {
	case 0, 1:
		f = tiny(t, 2*(2+lots.IntN(3)), 3+lots.IntN(4), []string{"head", "throat"}[lots.IntN(2)])
	case 2:
		f, _, _ = patterns.ReadLayout("small.toml", []byte(small))
	case 3:
		f, _, _ = patterns.ReadLayout("lopsided", []byte(lopsided))
	case 4: // hardly a frame
		text := fmt.Sprintf("name = \"t\"\nsport = %q\nmains = %d\ncrosses = %d\nstart = %q\n[tie]\nmains = [\"1H\"]\ncrosses = [\"1H\", \"1T\"]\n",
			[]string{"tennis", "squash", "badminton", "racquetball"}[lots.IntN(4)], 2+2*lots.IntN(2), 1+lots.IntN(3), []string{"head", "throat"}[lots.IntN(2)])
		if odd, _, err := patterns.ReadLayout("odd", []byte(text)); err == nil {
			f = odd
		}
	}
	p, err := j.Plan(f, sheet)
	if fmt.Fprintln(out, f.Name, err); err != nil {
		return
	}
	courses, err := sequence.Courses(f, p)
	lie, never := json.Marshal(courses)
	fmt.Fprintln(out, p.Plan, p.Warnings, p.Totals, sequence.Doubts(p), string(lie), err, never)
	tell(out, p, max(0, len(p.Steps)-5))
	done = lots.IntN(len(p.Steps) + 1)
	late := p.After(done).Newest()
	mishap := sequence.Trouble{Fault: []plan.Mishap{plan.FaultLate, plan.FaultKink, plan.FaultFrame, plan.FaultBreak, plan.FaultPause}[lots.IntN(5)]}
	if len(late) > 0 {
		mishap.Strand = late[lots.IntN(len(late))].Strand
	}
	b, terms := breaker{lots}, p.Terms
	if lots.IntN(2) == 0 { // as nobody keeps them
		b.change(reflect.ValueOf(&p.Terms).Elem(), reflect.ValueOf(&terms).Elem())
	}
	p.Terms.PrintedRange = []string{p.Terms.PrintedRange, "", "20 kg to 25 kg", "20 kg", "20 kg to lead", "lead to 20 kg"}[lots.IntN(6)]
	defer func() {
		if recover() != nil {
			fmt.Fprintln(out, "cannot be")
		}
	}()
	next, err := sequence.Recover(p, done, mishap)
	if fmt.Fprintln(out, done, mishap.Words(), err); err == nil {
		fmt.Fprintln(out, next.Plan, next.Warnings, next.Steps[done].Title)
		tell(out, next, max(0, len(next.Steps)-25))
	}
}
