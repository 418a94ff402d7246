package calc

import (
	"pullcard/patterns/assume"
	"pullcard/sequence"
	"pullcard/sequence/strain"
)

// Assumptions are what the elastic model takes for granted of a work: its job's table over the sheet's, the layout's and the house's.
func (w Work) Assumptions(house assume.Table) assume.Table {
	return w.Job.Strain.Over(w.Technique.Strain).Over(w.Frame.Strain).Over(house)
}

// materials are those of mains and crosses, mount and pull the usual ones of the sheet and the machine.
func (w Work) materials() [2]string {
	f := w.Frame.Sport
	return [2]string{string(yarn(w.Job.StringMains, f).Material), string(yarn(w.Job.StringCrosses, f).Material)}
}

func (w Work) mount() string { return strain.Points(w.Technique.Mount.Order) }

func (w Work) pull() string {
	if w.Job.Machine.Kind == sequence.Lockout {
		return assume.Lockout
	}
	return assume.Constant
}

// Elastic is a work's frame as a body that gives, with the numbers of a table. The error is a source.Problems for a hoop that is missing
// or impossible.
func (w Work) Elastic(table assume.Table) (*strain.Model, error) {
	g, problems := sequence.Grid(w.Frame)
	if problems != nil {
		return nil, problems
	}
	f := w.Frame.Sport
	strings := strain.Strings{Mains: yarn(w.Job.StringMains, f), Crosses: yarn(w.Job.StringCrosses, f)}
	m, err := strain.New(g, strings, table.Of(string(f), w.materials(), w.mount(), w.pull()))
	if err == nil {
		m.Between = w.Between
	}
	return m, err
}

// Strain plays the work's plan on its elastic hoop. The errors are those of Elastic and of strain.Model's Play.
func (w Work) Strain(house assume.Table) (*strain.Course, error) {
	m, err := w.Elastic(w.Assumptions(house))
	if err != nil {
		return nil, err
	}
	return m.Play(w.Plan)
}

// TakenForGranted are the numbers that are taken for granted, each with where it comes from.
func (w Work) TakenForGranted(house assume.Table) []assume.Line {
	return w.Assumptions(house).Lines(string(w.Frame.Sport), w.materials(), w.mount(), w.pull())
}
